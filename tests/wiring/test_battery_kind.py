"""What a chemistry asks of who charges it: common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import pytest
from cabled_roofs import PAIR, wired

from rooflayout.job import Battery, Chemistry
from rooflayout.wiring.battery_kind import USUAL_CHARGE, lithium_in_frost, usual_charge
from rooflayout.wiring.notes import unknown_charge, wiring_notes


@pytest.mark.parametrize(
    ("chemistry", "coldest_c", "told"),
    [("lithium", -0.5, True), ("lithium", 0.0, False), ("agm", -20.0, False), (None, -20.0, False)],
)
def test_lithium_is_not_charged_in_frost(chemistry: Chemistry | None, coldest_c: float, told: bool) -> None:
    job, _, wiring = wired(PAIR)
    assert job.battery is not None
    job = replace(job, battery=replace(job.battery, chemistry=chemistry))
    wiring = replace(wiring, temperatures=replace(wiring.temperatures, coldest_cell_c=coldest_c))
    notes = lithium_in_frost(job, wiring)
    assert [n.severity for n in notes] == (["caution"] if told else [])
    assert ("lithium-frost" in [n.code for n in wiring_notes(job, wiring)]) == told
    assert all(f"as cold as {coldest_c:g} °C" in n.text for n in notes)


def test_the_usual_charge_stands_beside_what_it_gets() -> None:
    """400 W x 0.97 / 12 V = 32.3 A into 100 Ah of a low battery."""
    job, _, wiring = wired(PAIR)
    assert job.battery is not None
    job = replace(job, battery=replace(job.battery, capacity_ah=100.0, chemistry="gel"))
    (note,) = unknown_charge(job, wiring)
    assert note.text.endswith(
        "it gets up to 32 A while it is low, 32 A for each 100 Ah; usual for each 100 Ah are 10 to 20 A "
        "(gel), common practice; look it up."
    )
    assert set(USUAL_CHARGE) == set(get_args(Chemistry))
    assert usual_charge(Battery(12.0, 14.4)) == ""
