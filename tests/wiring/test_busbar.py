"""Where several controllers join: one busbar, one cable from it to the battery with the main fuse."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cabled_roofs import ALDER, FINCH, GIVEN, PAIR, Counts, codes, runs_of, wired

from rooflayout.job import Cable, Job
from rooflayout.plan import CableRun, Wiring
from rooflayout.wiring.cables import cable_notes, cable_runs
from rooflayout.wiring.drafts import main_draft

TWO: Counts = [*PAIR, *PAIR]  # two Finch 200 in series on each of two Alder 60


def mains(wiring: Wiring) -> list[CableRun]:
    return [run for run in wiring.runs if run.kind == "main"]


def set_down(set_a: float | None) -> tuple[Job, Wiring]:
    """Two controllers whose charge limit is set down, with their cables."""
    job, panels, wiring = wired(TWO)
    loads = tuple(replace(load, set_a=set_a) for load in wiring.controllers)
    wiring = replace(wiring, controllers=loads)
    return job, replace(wiring, runs=cable_runs(job, panels, wiring))


def test_one_controller_goes_to_the_battery() -> None:
    _, wiring = runs_of(PAIR)
    assert mains(wiring) == []
    assert [r.end for r in wiring.runs if r.kind == "battery"] == ["battery"]


def test_the_cable_from_the_busbar_by_hand() -> None:
    """Two can charge with 60 A each: 1.25 x 120 A, and 400 W x 0.97 / 14.4 V come from each in full sun.

    52 °C inside: 50 mm² for 90 °C carries 230 A x sqrt(38/60) = 183 A, 35 mm² 147 A; 1/0 AWG what its
    terminals take, 150 A. 2 x 0.3 m of 0.393 ohm/km x 1.2751 at 53.9 A.
    """
    _, wiring = runs_of(TWO)
    (main,) = mains(wiring)
    assert main is wiring.runs[-1]
    assert (main.start, main.end, main.isolator) == ("busbar", "battery", False)
    assert (main.current_a, main.fuse_a) == (150.0, 150.0)
    assert (main.size_mm2, main.size_awg) == (50, "1/0")
    assert main.working_a == pytest.approx(2 * 400 * 0.97 / 14.4)
    assert main.drop_v == pytest.approx(0.6 * 0.393e-3 * (1 + 0.00393 * 70) * 53.889, rel=1e-4)
    assert (main.length_mm, main.estimated) == (300.0, True)
    _, given = runs_of(TWO, replace(GIVEN, bar_to_battery_mm=700.0))
    assert [(r.length_mm, r.estimated) for r in mains(given)] == [(700.0, False)]
    assert [r.end for r in wiring.runs if r.kind == "battery"] == ["busbar", "busbar"]


@pytest.mark.parametrize(("set_a", "current_a", "fuse_a"), [(25.0, 62.5, 70.0), (None, 150.0, 150.0)])
def test_controllers_that_are_set_down_for_the_battery(
    set_a: float | None, current_a: float, fuse_a: float
) -> None:
    """1.25 x 2 x 25 A, the next fuse is 70 A; their own cables are for what they can."""
    _, wiring = set_down(set_a)
    assert [(r.current_a, r.fuse_a) for r in mains(wiring)] == [(current_a, fuse_a)]
    assert [r.current_a for r in wiring.runs if r.kind == "battery"] == [75.0, 75.0]


def test_a_setting_above_what_a_controller_can_counts_as_that() -> None:
    job, wiring = set_down(99.0)
    assert main_draft(job, wiring, wiring.controllers).current_a == 150.0


def test_controllers_of_different_size_keep_cables_of_their_own() -> None:
    """Unlike parallel strings they get no common size: five panels need more than one."""
    far = replace(GIVEN, controller_to_battery_mm=6000)
    _, wiring = runs_of([[[(FINCH, 1)]], [[(FINCH, 5)]]], far, of=replace(ALDER, max_charge_a=70.0))
    one, five = (r.size_mm2 for r in wiring.runs if r.kind == "battery")
    assert one is not None
    assert five is not None
    assert one < five


def test_the_way_to_the_battery_keeps_to_the_drop() -> None:
    for metres in (1, 4, 9):
        _, wiring = runs_of(TWO, replace(GIVEN, controller_to_battery_mm=1000 * metres, most_drop_pct=2.0))
        (main,) = mains(wiring)
        for run in (r for r in wiring.runs if r.kind == "battery"):
            assert (run.drop_pct or 0.0) + (main.drop_pct or 0.0) <= 2.0
            assert (run.drop_awg_pct or 0.0) + (main.drop_awg_pct or 0.0) <= 2.0


def test_too_much_for_one_busbar_goes_to_the_battery_apart() -> None:
    """Five of 100 A: no fuse of 625 A. Four of them, 500 A, have a fuse, and no cable that carries it."""
    big = replace(ALDER, max_charge_a=100.0)
    for count, amps in ((5, 625), (4, 500)):
        job, wiring = runs_of(list(PAIR) * count, of=big)
        assert mains(wiring) == []
        assert {r.end for r in wiring.runs if r.kind == "battery"} == {"battery"}
        (note,) = [n for n in cable_notes(job, wiring) if n.code == "no-busbar"]
        assert note.severity == "caution"
        assert f"for one busbar with {amps} A" in note.text
        assert not {code for severity, code in codes(job, wiring) if severity == "error"}
    assert "no-busbar" not in [code for _, code in codes(*runs_of(TWO))]


def test_what_the_notes_say_of_it() -> None:
    job, wiring = runs_of(TWO)
    told = {n.code: n.text for n in cable_notes(job, wiring)}
    assert (
        "R2 80 A, R4 80 A and R5 150 A (at the busbar, the main fuse within 175 mm (7 inches) of the "
        "battery, for DC above 14.4 V"
    ) in told["fuses"]
    assert "At the busbar, for DC above 14.4 V: R2 80 A and R4 80 A or more." in told["isolators"]
    assert "for R5 (0.3 m from busbar to battery)" in told["cable-lengths-estimated"]
    assert "run-thick" not in told  # it ends at no controller
    bare = {n.code: n.text for n in cable_notes(*runs_of(TWO, Cable()))}["cable-lengths-estimated"]
    assert "1.5 m from controller to busbar; 0.3 m from busbar to battery" in bare


def test_what_the_busbars_must_stand() -> None:
    """150 A of main fuse; where controllers are set down, that the fuse counts on it."""
    job, wiring = runs_of(TWO)
    (note,) = [n for n in cable_notes(job, wiring) if n.code == "busbar"]
    assert note.severity == "info"
    assert note.text.startswith("Busbars, one for + and one for −, covered, each for at least 150 A.")
    assert "They and R5 are for C1 and C2 alone: loads, inverter" in note.text
    (held,) = [n for n in cable_notes(*set_down(25.0)) if n.code == "busbar"]
    assert held.severity == "caution"
    assert "each for at least 70 A" in held.text
    assert "what is set down (C1 to 25.0 A and C2 to 25.0 A)" in held.text
    assert "busbar" not in [n.code for n in cable_notes(*runs_of(PAIR))]
