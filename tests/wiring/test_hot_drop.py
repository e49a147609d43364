"""What cables leave of the hot voltage: thicker ones where too little, a warning where these do not do."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cabled_roofs import ALDER, FINCH, GIVEN, Counts, wired
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from rooflayout.inspection.hot_drop import (
    strings_reach_their_controllers,
    voltages_at_controllers_are_right,
)
from rooflayout.job import Cable, Job
from rooflayout.plan import Layout, Plan, Wiring
from rooflayout.wiring.conductors import AWG, METRIC, Laid
from rooflayout.wiring.design import design_notes, designed
from rooflayout.wiring.hot_drop import hot_drop_notes, path_of, thick_enough
from rooflayout.wiring.limits import flush_cell_c, hot_vmp_v
from rooflayout.wiring.sizing import Need, lost_v

ONE: Counts = [[[(FINCH, 1)]]]
NEAR = replace(GIVEN, roof_run_mm=2000, gland_to_controller_mm=1000)
HOT_V = 20.0 * (1 - 0.00375 * 60)  # of one Finch with its cells at 85 °C: -0.33 less 0.045 % per K


def built(needed_v: float, cable: Cable = NEAR, counts: Counts = ONE) -> tuple[Job, Wiring]:
    """Wired with a controller that needs so many volts."""
    eager = replace(ALDER, start_above_battery_v=needed_v - 14.4)
    job, panels, wiring = wired(counts, cable, of=eager)
    return job, designed(job, panels, wiring)


def drop_by_hand_v(ohm_per_km: float, metres: float, amps: float) -> float:
    """There and back in copper of 90 °C."""
    return 2 * metres * ohm_per_km / 1000 * (1 + 0.00393 * 70) * amps


def test_what_reaches_the_controller_by_hand() -> None:
    """4 mm², 5.09 ohm/km (IEC 60228, READ), loses 0.370 V of 15.5 V at 9.5 A. 12 AWG, 2.05 ohm per 1000 ft
    at 75 °C (NEC chapter 9 table 8, READ), loses 0.402 V: that is what counts."""
    _, wiring = built(15.0)
    (string,), run = wiring.strings, wiring.runs[0]
    assert string.vmp_hot_v == pytest.approx(HOT_V)
    assert run.size_mm2 == 4
    assert run.drop_v == pytest.approx(drop_by_hand_v(5.09, 3, 9.5))
    assert run.size_awg == "12"
    cold_ohm_per_km = 2.05 / 0.3048 / (1 + 0.00393 * 55)
    assert string.vmp_hot_at_controller_v == pytest.approx(HOT_V - drop_by_hand_v(cold_ohm_per_km, 3, 9.5))


def test_strings_that_join_lose_in_both_cables() -> None:
    _, wiring = built(14.4, GIVEN, [[[(FINCH, 1)] * 3]])
    string, runs = wiring.strings[1], wiring.runs
    assert [run.run for run in path_of(string, runs)] == ["R2", "R4"]
    lost = [
        sum(d or 0.0 for d in drops)
        for drops in zip(*((r.drop_v, r.drop_awg_v) for r in (runs[1], runs[3])), strict=True)
    ]
    assert string.vmp_hot_at_controller_v == pytest.approx(string.vmp_hot_v - max(lost))


def test_thicker_cable_where_too_little_would_arrive() -> None:
    """0.3 V to spare: 4 mm² would do for 3 % and loses 0.370 V; 6 mm², 3.39 ohm/km, 0.247 V.

    10 AWG, 1.29 ohm per 1000 ft, 0.253 V: both rows go up together.
    """
    assert drop_by_hand_v(5.09, 3, 9.5) > 0.3 > drop_by_hand_v(3.39, 3, 9.5)
    job, wiring = built(HOT_V - 0.3)
    (string,), run = wiring.strings, wiring.runs[0]
    assert run.size_mm2 == 6
    assert run.why == "heat: thinner leaves C1 less than 15.2 V"
    assert run.drop_v == pytest.approx(drop_by_hand_v(3.39, 3, 9.5))
    assert run.size_awg == "10"
    assert string.vmp_hot_at_controller_v == pytest.approx(HOT_V - 0.253, abs=0.001)
    assert hot_drop_notes(job, wiring) == ()


def test_no_thicker_than_usual_and_then_a_warning() -> None:
    """0.1 V to spare, and 10 mm² (1.95 ohm/km) loses 0.142 V: both sizes stay those of the voltage drop."""
    job, wiring = built(HOT_V - 0.1)
    assert (wiring.runs[0].size_mm2, wiring.runs[0].size_awg) == (4, "12")
    (note,) = hot_drop_notes(job, wiring)
    assert note in design_notes(job, wiring)
    assert (note.severity, note.code) == ("warning", "hot-drop")
    # 15.4 V and 0.40 V lost are what one gives at 25 + (20 - 15.80) / 0.075 = 81.0 °C
    assert note.text == (
        "S1 on C1: on the hottest noon 15.50 V at the panels, less 0.40 V in R1: 15.10 V reach C1, which "
        "needs 15.40 V. With cells above 81 °C it charges less or not at all; 2 in series instead of 1 or a "
        "shorter way or thicker cable than is usual would mend it."
    )


def test_no_longer_string_is_named_beyond_the_limit() -> None:
    """Two Finch reach 51.7 V at -5 °C."""
    low = replace(ALDER, start_above_battery_v=HOT_V - 14.5, max_pv_v=50.0)
    job, panels, wiring = wired(ONE, NEAR, of=low)
    (note,) = hot_drop_notes(job, designed(job, panels, wiring))
    assert "in series instead" not in note.text


def test_joined_strings_share_the_copper_where_it_does_most() -> None:
    """0.3 V to spare behind a joint; less copper of usual sizes would not do, and none is told off."""
    job, wiring = built(HOT_V - 0.3, replace(NEAR, gland_to_controller_mm=4000), [[[(FINCH, 1)] * 3]])
    assert hot_drop_notes(job, wiring) == ()
    assert len({run.size_mm2 for run in wiring.runs[:3]}) == 1
    assert {run.why[:5] for run in wiring.runs[:4]} & {"heat:"}
    lost = [sum(v or 0.0 for v in (run.drop_v, wiring.runs[3].drop_v)) for run in wiring.runs[:3]]
    assert max(lost) <= 0.3


def needs() -> tuple[list[Need], Need]:
    laid = Laid(40.0, 90.0)
    strings = [Need(12.5, 9.5, mm, 15.5, laid) for mm in (2000.0, 3000.0)]
    return strings, Need(25.0, 19.0, 5000.0, 15.5, laid)


@pytest.mark.parametrize("row", [METRIC, AWG], ids=["metric", "AWG"])
def test_no_pair_of_usual_sizes_with_less_copper_keeps_the_voltage(row: tuple) -> None:  # type: ignore[type-arg]
    """Against every pair there is."""
    strings, array = needs()
    now = row[1], row[3]
    ends = [
        next(k for k, s in enumerate(row) if s.label in names)
        for names in (("10 mm²", "6 AWG"), ("35 mm²", "2 AWG"))
    ]
    for tenths in range(1, 20):
        spare_v = [tenths / 10, tenths / 10 + 0.05]
        pairs = [
            (a, b)
            for a in row[1 : ends[0] + 1]
            for b in row[3 : ends[1] + 1]
            if all(lost_v(a, n) + lost_v(b, array) <= v + 1e-7 for n, v in zip(strings, spare_v, strict=True))
        ]
        found = thick_enough(row, now, strings, array, spare_v)
        if not pairs:
            assert found is None
            continue
        assert found is not None
        assert found in pairs

        def copper(pair: tuple) -> float:  # type: ignore[type-arg]
            return 5000 / pair[0].ohm_per_km_20c + 5000 / pair[1].ohm_per_km_20c

        assert copper(found) == pytest.approx(min(copper(p) for p in pairs))


def test_where_no_size_serves_nothing_is_said_to_arrive() -> None:
    _, wiring = built(14.4, replace(GIVEN, roof_run_mm=900_000))
    assert wiring.runs[0].size_mm2 is None
    assert wiring.strings[0].vmp_hot_at_controller_v is None


@settings(max_examples=150, deadline=None)
@example([1, 1, 1], 0.375, 2970.0, 8000.0)  # metric sizes beyond the usual serve, usual AWG ones do not
@given(
    st.lists(st.integers(1, 3), min_size=1, max_size=4),
    st.floats(0.02, 3.0),
    st.floats(100.0, 15_000.0),
    st.floats(100.0, 8_000.0),
)
def test_every_string_has_its_volts_or_is_told_of(
    series: list[int], spare_v: float, roof_mm: float, inside_mm: float
) -> None:
    """The inspection, which works out copper by itself, finds no cable too thin where usual ones would do."""
    in_series = series[0]  # parallel strings are alike
    cable = replace(NEAR, roof_run_mm=roof_mm, gland_to_controller_mm=inside_mm)
    hot_v = in_series * hot_vmp_v(FINCH, flush_cell_c(42.0))
    eager = replace(ALDER, start_above_battery_v=hot_v - spare_v - 14.4)
    assume(eager.start_above_battery_v >= 0.0)
    job, panels, wiring = wired([[[(FINCH, in_series)] * len(series)]], cable, of=eager)
    strings = tuple(replace(s, vmp_hot_v=hot_v) for s in wiring.strings)
    found = designed(job, panels, replace(wiring, strings=strings))
    told = bool(hot_drop_notes(job, found))
    reached = [s.vmp_hot_at_controller_v for s in found.strings]
    if None not in reached:
        assert told == any((v or 0.0) < hot_v - spare_v - 1e-6 for v in reached)
    plan = Plan("t", "t.toml", Layout(0.0, 0.0, "best found", 0.0, panels), found)
    assert [*voltages_at_controllers_are_right(job, plan), *strings_reach_their_controllers(job, plan)] == []
