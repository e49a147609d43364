"""Which controllers of a catalogue hang in a space, worked out by hand."""

from __future__ import annotations

from dataclasses import replace

from wired_roofs import GOOSE, MAIN, a_job, a_roof, controller, temperatures

from rooflayout.job import Battery, Controllers, MountingSpace
from rooflayout.wiring.hanging import hanging_words, most_that_hang
from rooflayout.wiring.notes import wiring_notes
from rooflayout.wiring.wire import wire

SMALL = replace(
    controller("Alderfly 20", 100, 25, 20, price=121.0), length_mm=140.0, width_mm=120.0, height_mm=48.0
)
MIDDLE = replace(
    controller("Mayfly 30", 100, 38, 30, price=172.0), length_mm=190.0, width_mm=135.0, height_mm=70.0
)
LARGE = replace(
    controller("Stonefly 50", 150, 60, 50, price=351.0), length_mm=220.0, width_mm=190.0, height_mm=96.0
)
BATTERY = Battery(12.0, 14.4)
WALL = MountingSpace(420, 260, 110, 40)


def names(space: MountingSpace, *catalogue: object) -> list[str]:
    return [c.model for c in most_that_hang(space, catalogue or (LARGE, MIDDLE, SMALL), BATTERY)]  # type: ignore[arg-type]


def test_the_most_charge_current_that_hangs() -> None:
    """Two small ones are 3 x 40 + 2 x 140 = 400 mm wide; the large one needs 190 + 80 = 270 mm of height, a
    middle and a small one 190 + 140 + 120 = 450 mm of width: 40 A is the most."""
    assert names(WALL) == ["Alderfly 20", "Alderfly 20"]
    assert names(replace(WALL, height_mm=270)) == ["Stonefly 50"]  # and 120 mm beside it are too few for more
    assert names(replace(WALL, width_mm=450)) == ["Mayfly 30", "Alderfly 20"]
    assert names(replace(WALL, depth_mm=50, width_mm=230)) == ["Alderfly 20"]
    assert names(replace(WALL, depth_mm=40)) == []


def test_of_equal_currents_the_fewest_then_the_cheapest() -> None:
    forty = replace(SMALL, model="One 40", max_charge_a=40.0, price=900.0)
    dear = replace(forty, model="Dear 40", price=950.0)
    assert names(replace(WALL, width_mm=230), SMALL, dear, forty) == ["One 40"]


def test_only_those_that_serve_the_battery_and_whose_size_is_known() -> None:
    assert names(WALL, replace(SMALL, battery_v=(48.0,))) == []
    assert names(WALL, replace(SMALL, height_mm=None)) == []


def test_the_note_says_what_there_is_room_for() -> None:
    """Twelve of 24.3 V and 1.25 x 10.35 A: a small one takes one string of three at most."""
    job = replace(a_job(), controllers=Controllers((LARGE, SMALL), (), True), mounting_space=WALL)
    job, panels = a_roof(job, (GOOSE, 12, MAIN))
    named, wiring = wire(job, temperatures(job), panels)
    note = next(n for n in wiring_notes(job, wiring, named) if n.code == "mounting-space")
    assert note.text.endswith(
        " No set of the catalogue for these watts was found that fits. There is room for 2 x Alderfly 20 "
        '(40 A together): fitted = ["Alderfly 20", "Alderfly 20"] plans the most watts for them.'
    )
    assert hanging_words((LARGE, SMALL)) == "1 x Stonefly 50 and 1 x Alderfly 20 (70 A together)"
