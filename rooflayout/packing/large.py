"""Whether a roof is so large that windows fill it instead of prices."""

from __future__ import annotations

from rooflayout.packing.clearance import Field
from rooflayout.packing.incumbent import Clock
from rooflayout.packing.pieces import pieces_of
from rooflayout.packing.relaxed import panels_by_area
from rooflayout.packing.rules import Rules
from rooflayout.packing.stock import Stock

LARGE = 60  # panels of the middling size, by area: with so many and many places, windows instead of prices
FEW_MODELS = 1  # with more, prices of so many panels seldom come to an end


def is_large(fields: tuple[Field, ...], rules: Rules, clock: Clock) -> bool:
    """Whether a roof has room for so many panels, and so many places or models, that windows fill it.

    Not where stock binds: sets of panels (sets.py) have their own ways.
    """
    if panels_by_area(fields, rules.kinds) <= LARGE:
        return False
    models = len({kind.model for kind in rules.kinds})
    if models > FEW_MODELS and pieces_of(fields, rules) is None:
        return True
    return Stock(fields, rules.kinds, {}, clock).takes_time()
