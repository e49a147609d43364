"""Kinds of fuses on the battery's side: rows of UL 248-15 and IEC 60269-2, from memory."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cabled_roofs import PAIR, runs_of

from rooflayout.wiring.cable_notes import cable_notes
from rooflayout.wiring.fuse_kinds import CLASS_T_A, NH_A, kind_of_fuse
from rooflayout.wiring.protection import BATTERY_FUSES_A


@pytest.mark.parametrize(
    ("sizes_a", "end"),
    [
        ((80.0, 100.0), "no blades"),
        ((150.0, 80.0, 60.0), "no blades; 60 A and 150 A as class T, NH is not made so (from memory)"),
        ((7.5,), "no blades; 7.5 A in neither: the next size that the cable carries"),
    ],
)
def test_sizes_that_a_kind_lacks_are_named(sizes_a: tuple[float, ...], end: str) -> None:
    job, _ = runs_of(PAIR)
    assert kind_of_fuse(job, sizes_a) == f"for lithium class T or NH, {end.removeprefix('for')}"
    assert job.battery is not None
    lead = replace(job, battery=replace(job.battery, chemistry="agm"))
    assert kind_of_fuse(lead, sizes_a) == "see the fuse's data sheet"


def test_all_but_the_smallest_of_the_row_are_made_as_class_t() -> None:
    assert [a for a in BATTERY_FUSES_A if a not in CLASS_T_A] == [5.0, 7.5]
    assert [a for a in BATTERY_FUSES_A if a not in NH_A] == [
        *(5.0, 7.5, 15.0, 30.0, 60.0, 70.0, 150.0, 175.0, 225.0, 350.0),
    ]


def test_the_note_on_fuses_says_it() -> None:
    """An Alder 60 has a fuse of 80 A, which both rows have."""
    job, wiring = runs_of(PAIR)
    assert wiring.runs[-1].fuse_a == 80.0
    told = {n.code: n.text for n in cable_notes(job, wiring)}["fuses"]
    assert told.endswith("for lithium class T or NH, no blades).")
