"""The calendar that everything about the year counts by: twelve months of a year without leap day."""

from __future__ import annotations

MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
SHORT_MONTHS = tuple(name[:3] for name in MONTHS)
DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
DAYS_BEFORE = tuple(sum(DAYS_IN_MONTH[:month]) for month in range(12))  # of each month's first day
