"""Which controllers of the catalogue would hang in a space that is too small for those that were chosen."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import combinations_with_replacement

from rooflayout.job import Battery, ControllerModel, MountingSpace
from rooflayout.wiring.limits import serves_battery
from rooflayout.wiring.mounting import area_of, fits, unsized, wall_area

MOST_BOXES = 3
MOST_TRIED = 60  # sets whose boxes are laid out, each in some milliseconds


def most_that_hang(
    space: MountingSpace, catalogue: Sequence[ControllerModel], battery: Battery
) -> tuple[ControllerModel, ...]:
    """Up to MOST_BOXES controllers that serve the battery and hang in the space, with the most charge current
    together; of equal ones the fewest, then the cheapest. Empty where none was found."""
    sized = [c for c in catalogue if not unsized([c]) and serves_battery(c, battery)]
    hang = [c for c in sized if fits(space, [c])]
    sets = [s for n in range(1, MOST_BOXES + 1) for s in combinations_with_replacement(hang, n)]
    wall = wall_area(space)
    small = [s for s in sets if sum(area_of(space, c) for c in s) <= wall]
    small.sort(key=lambda s: (-sum(c.max_charge_a for c in s), len(s), sum(c.price or 0.0 for c in s)))
    return next((s for s in small[:MOST_TRIED] if fits(space, s)), ())


def hanging_words(controllers: Sequence[ControllerModel]) -> str:
    """ "2 x Reed 20 and 1 x Sedge 10 (50 A together)"."""
    counts = Counter(c.model for c in controllers)
    together_a = sum(c.max_charge_a for c in controllers)
    return f"{' and '.join(f'{n} x {model}' for model, n in counts.items())} ({together_a:g} A together)"
