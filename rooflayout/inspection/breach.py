"""What inspection reports: one breach of one rule, in words that name what was found and what is allowed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from rooflayout.job import Job
from rooflayout.plan import Plan

_MOST_DECIMALS = 7  # the tolerances are 1e-6, so a breach shows at the latest in the seventh decimal


@dataclass(frozen=True, slots=True)
class Breach:
    """A rule that the plan breaks.

    code is a short kebab-case name for programs, where names the panel, string, tracker or limit
    that is concerned, text says what was found and what is allowed, with units.
    """

    code: str
    where: str
    text: str


Rule = Callable[[Job, Plan], Iterator[Breach]]


def plain(value: float, decimals: int = 2) -> str:
    """The value with at most so many decimals, without trailing zeros."""
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def figures(found: float, allowed: float) -> tuple[str, str]:
    """Both values with as many decimals as it takes to tell them apart."""
    for decimals in range(2, _MOST_DECIMALS):
        pair = plain(found, decimals), plain(allowed, decimals)
        if pair[0] != pair[1]:
            return pair
    return plain(found, _MOST_DECIMALS), plain(allowed, _MOST_DECIMALS)


def differ(stated: float, right: float, slack: float) -> bool:
    """True when both are numbers and lie further apart than the slack."""
    return not (math.isnan(stated) or math.isnan(right)) and not abs(stated - right) <= slack
