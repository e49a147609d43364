"""What lies between the harvest that was packed for and the one that reaches the battery, in a note."""

from __future__ import annotations

from collections.abc import Iterator

from rooflayout.plan import Layout, Note, Wiring
from rooflayout.rounding import wh_words
from rooflayout.yields import Energy

LEAST_PART = 0.005  # of the harvest: less between the two is not worth a note


def harvest_gap(layout: Layout, energy: Energy | None, wiring: Wiring | None) -> Iterator[Note]:
    """Of a layout packed for harvest and wired: what charge limits cut off, and what all else takes.

    Dirt, weak light, heat and each panel's own shade are off both figures already.
    """
    before_wh = layout.harvest_wh_year
    if before_wh is None or energy is None or wiring is None or not wiring.controllers:
        return
    taken_wh = before_wh - energy.wh_year
    if taken_wh < LEAST_PART * before_wh:
        return
    cut_wh = min(taken_wh, sum(c.could_wh_year - c.passes_wh_year for c in energy.controllers))
    parts = [
        (cut_wh, "the charge limits of controllers and battery"),
        (
            taken_wh - cut_wh,
            "the cables, the controllers' own losses, unlike panels or shade within a string",
        ),
    ]
    told = " and ".join(f"{wh_words(wh)} by {what}" for wh, what in parts if wh >= LEAST_PART * before_wh)
    between = f": in between, {told or 'each a little, charge limits, cables and controllers'}"
    text = (
        f"Of {before_wh / 1000.0:.1f} kWh a year before the controllers {wh_words(energy.wh_year)} reach the "
    )
    text += f"battery{between}. Dirt, weak light and heat are off both figures."
    yield Note("info", "harvest-gap", text)
