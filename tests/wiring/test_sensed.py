"""What controllers read too much in full sun, by hand."""

from __future__ import annotations

from dataclasses import replace

from cabled_roofs import GIVEN, PAIR, Counts, runs_of

from rooflayout.wiring.design import design_notes
from rooflayout.wiring.sensed import sensed_notes

TWO: Counts = [*PAIR, *PAIR]


def test_a_long_way_is_told() -> None:
    """400 W x 0.97 / 14.4 V = 26.94 A. 1.5 m of 4 AWG (0.321 ohm per 1000 ft at 75 °C): 0.09 V, 0.7 % of
    12 V. 4 m of it: 0.24 V, 2 %; of 25 mm² (0.795 ohm/km at 20 °C) a little less."""
    job, wiring = runs_of(PAIR)
    assert sensed_notes(job, wiring) == ()
    job, wiring = runs_of(PAIR, replace(GIVEN, controller_to_battery_mm=4000))
    run = wiring.runs[-1]
    assert (run.size_mm2, run.size_awg) == (25, "4")
    warm, working_a = 1 + 0.00393 * 70, 400 * 0.97 / 14.4
    metric_v = 2 * 4 * 0.795e-3 * warm * working_a
    lost_v = 2 * 4 * 0.321 / 304.8 * warm / (1 + 0.00393 * 55) * working_a
    assert lost_v > metric_v
    (note,) = sensed_notes(job, wiring)
    assert note.severity == "info"
    assert f"C1 {lost_v:.2f} V ({run.run})." in note.text
    assert [n.code for n in design_notes(job, wiring)].count("sensed-voltage") == 1


def test_behind_a_busbar_both_cables_count() -> None:
    job, wiring = runs_of(TWO, replace(GIVEN, controller_to_battery_mm=2000, bar_to_battery_mm=900.0))
    first, main = next(r for r in wiring.runs if r.kind == "battery"), wiring.runs[-1]
    lost_v = max(
        (first.drop_v or 0.0) + (main.drop_v or 0.0), (first.drop_awg_v or 0.0) + (main.drop_awg_v or 0.0)
    )
    assert lost_v > 0.12 > (first.drop_v or 0.0)
    (note,) = sensed_notes(job, wiring)
    assert f"C1 {lost_v:.2f} V ({first.run} and {main.run})" in note.text


def test_without_a_size_nothing_is_told() -> None:
    job, wiring = runs_of(PAIR, replace(GIVEN, controller_to_battery_mm=4000))
    blank = tuple(replace(r, drop_v=None, drop_awg_v=None) for r in wiring.runs)
    assert sensed_notes(job, replace(wiring, runs=blank)) == ()
