"""What lies between the harvest that was packed for and the one that reaches the battery."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rooflayout.harvest_gap import harvest_gap
from rooflayout.plan import ControllerLoad, Layout, Temperatures, Wiring
from rooflayout.yields import ControllerYield, Energy

AIMED = Layout(400.0, 400.0, "proven", 1.0, (), harvest_wh_year=785_000.0, bound_harvest_wh_year=785_000.0)
WIRED = Wiring(
    (), (ControllerLoad("C1", "Rush 30", 400.0, 10.0, 30.0, 0.0, 0.0),), (), Temperatures(-5, "", 40, "", 89)
)
ENERGY = Energy((), (ControllerYield("C1", 745_000.0, 685_000.0),), (), (), 685_000.0, 12.0, "")


def test_limits_and_all_else_are_told_apart() -> None:
    """785 - 685 = 100 kWh, of which 745 - 685 = 60 by the charge limit."""
    (note,) = harvest_gap(AIMED, ENERGY, WIRED)
    assert (note.severity, note.code) == ("info", "harvest-gap")
    assert note.text == (
        "Of 785.0 kWh a year before the controllers 685 kWh reach the battery: in between, 60 kWh by the "
        "charge limits of controllers and battery and 40 kWh by the cables, the controllers' own losses, "
        "unlike panels or shade within a string. Dirt, weak light and heat are off both figures."
    )


def test_where_nothing_is_cut_off_only_the_rest_is_told() -> None:
    even = replace(ENERGY, controllers=(ControllerYield("C1", 685_000.0, 685_000.0),))
    (note,) = harvest_gap(AIMED, even, WIRED)
    assert "in between, 100 kWh by the cables" in note.text
    assert "charge limits" not in note.text


@pytest.mark.parametrize("lacking", ["aim", "energy", "wiring", "controllers", "gap"])
def test_without_two_figures_there_is_nothing_to_tell(lacking: str) -> None:
    layout = replace(AIMED, harvest_wh_year=None) if lacking == "aim" else AIMED
    energy = replace(ENERGY, wh_year=784_000.0) if lacking == "gap" else ENERGY
    wiring = replace(WIRED, controllers=()) if lacking == "controllers" else WIRED
    found = harvest_gap(
        layout, None if lacking == "energy" else energy, None if lacking == "wiring" else wiring
    )
    assert list(found) == []
