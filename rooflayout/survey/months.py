"""The key months: numbers from 1 to 12, or the months' names."""

from __future__ import annotations

from typing import Any

from rooflayout.months import MONTHS
from rooflayout.needs import EVERY_MONTH
from rooflayout.survey.table import Table
from rooflayout.survey.words import guess, show

NAMES = tuple(name.lower() for name in MONTHS)
EXPECTED = 'a list of months, numbers from 1 to 12 or names, such as [5, 6] or ["may", "jun"]'
A_MONTH = "a month from 1 to 12, or its name"
LEAST_LETTERS = 3  # two may mean more than one month


def read_months(owner: Table) -> tuple[int, ...]:
    """The months in order, each once; all twelve where none are written (or wrong, and reported)."""
    value = owner.values.get("months")
    if value is None:
        return EVERY_MONTH
    if not isinstance(value, list):
        plain = isinstance(value, str | int) and _month(value) is not None
        hint = f"Put it in brackets: [{show(value)}]." if plain else ""
        owner.problem(("months",), "months", show(value), EXPECTED, hint)
        return EVERY_MONTH
    if not value:
        hint = "Leave months out for the whole year."
        owner.problem(("months",), "months", "an empty list", EXPECTED, hint)
        return EVERY_MONTH
    read = []
    for i, item in enumerate(value):
        month = _month(item)
        if month is None:
            owner.problem(("months", i), "months", show(item), A_MONTH, _hint(item))
        elif month in read:
            owner.problem(("months", i), "months", f"{show(item)} a second time", "each month once")
        else:
            read.append(month)
    return tuple(sorted(read)) or EVERY_MONTH


def _month(value: Any) -> int | None:
    """1 to 12 for a number or a name, whole or cut to three letters or more; None for anything else."""
    if isinstance(value, bool):
        return None
    if isinstance(value, int):
        return value if value in EVERY_MONTH else None
    if not isinstance(value, str) or len(value.strip()) < LEAST_LETTERS:
        return None
    begun = value.strip().casefold().removesuffix(".")
    return next((i for i, name in enumerate(NAMES, 1) if name.startswith(begun)), None)


def _hint(value: Any) -> str:
    if not isinstance(value, str):
        return "January is 1." if value == 0 and not isinstance(value, bool) else ""
    if value.strip().isdigit():
        return "Numbers stand without quotes."
    if value.strip().casefold() in ("spring", "summer", "autumn", "fall", "winter"):
        return "Name the months: seasons differ north and south of the equator."
    if "-" in value or "to" in value.split():
        return "Name each month: there are no ranges."
    likely = guess(value, NAMES)
    return f'Did you mean "{likely}"?' if likely is not None else ""
