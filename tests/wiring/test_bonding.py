"""Bonding of panel frames, by IEC 62548 and NEC 690.43 with table 250.122, all from memory."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cabled_roofs import FINCH, PAIR, Counts, wired

from rooflayout.job import Site, Vehicle
from rooflayout.plan import Note
from rooflayout.wiring.bonding import bonding_awg, bonding_notes
from rooflayout.wiring.design import design_notes


def note_of(counts: Counts) -> Note:
    job, _, wiring = wired(counts)
    (note,) = bonding_notes(job, wiring)
    return note


@pytest.mark.parametrize(
    ("fuse_a", "awg"),
    [
        (15, "14"),
        (15.1, "12"),
        (20, "12"),
        (30, "10"),
        (60, "10"),
        (61, "8"),
        (100, "8"),
        (200, "6"),
        (400, "2"),
    ],
)
def test_sizes_by_the_table(fuse_a: float, awg: str) -> None:
    assert bonding_awg(fuse_a) == awg


def test_below_60_v_it_is_told_that_codes_differ() -> None:
    """Two Finch reach 51.7 V at -5 °C."""
    note = note_of(PAIR)
    assert note.severity == "info"
    assert "no string passes 60 V DC" in note.text
    assert "NEC 690.43 does at any voltage" in note.text


def test_above_60_v_with_its_least_size() -> None:
    """Three reach 77.6 V. Isc of 10 A: 15.625 A, 12 AWG; two such strings in parallel 31.25 A, 10 AWG."""
    note = note_of([[[(FINCH, 3)]], *PAIR])
    assert note.severity == "caution"
    assert note.text == (
        "Bond metal frames and rails to each other and to the chassis or earth bar: S1 may pass 60 V DC. At "
        "least 6 mm² of copper (IEC 62548) or 12 AWG (NEC 690.43 and table 250.122 for 16 A); from memory: "
        "the local code decides. Join the battery's − to it in one place only (common practice)."
    )
    assert "or 10 AWG (NEC 690.43 and table 250.122 for 32 A)" in note_of([[[(FINCH, 3)] * 2]]).text


def test_it_is_among_the_notes_on_the_design() -> None:
    job, _, wiring = wired(PAIR)
    assert [n.code for n in design_notes(job, wiring)].count("bonding") == 1
    bare = replace(wiring, strings=(), controllers=())
    assert bonding_notes(job, bare) == ()


def test_a_boat_has_a_hull_and_a_building_lightning() -> None:
    """A steel hull is the earth; a roof that always faces the same way stands. Common practice, no source."""
    job, _, wiring = wired([[[(FINCH, 3)]]])
    boat = replace(job, vehicle=Vehicle("boat"))
    (note,) = bonding_notes(boat, wiring)
    assert (
        "to each other and to the hull, where it is of metal, else to the boat's bonding conductor:"
        in note.text
    )
    assert "lightning" not in note.text
    (note,) = bonding_notes(replace(job, site=Site(heading_deg=25.0)), wiring)
    assert "to each other and to the earth bar: S1" in note.text
    assert "On a building find out whether lightning and surge protection are asked for" in note.text
    _, _, low = wired(PAIR)
    (note,) = bonding_notes(replace(job, site=Site(heading_deg=25.0)), low)
    assert note.severity == "info"
    assert "lightning" in note.text
