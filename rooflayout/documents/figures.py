"""Figures as they stand in plan.json and in the CSV files."""

from __future__ import annotations


def whole(value: float) -> int | float:
    """A length [mm]: an int when it is whole, else to a thousandth."""
    nearest = round(value)
    return nearest if abs(value - nearest) < 1e-6 else round(value, 3)


def rounded(value: float | None, digits: int) -> float | None:
    """A figure to so many decimals, or None."""
    return None if value is None else round(value, digits)
