"""Portable panels, mismatch, readings and runs: held as planned, broken one thing at a time.

Two Fen in series on an Otter: 53.12 V in the cold of 100 V, 33.27 V in the heat of 16.4 V needed, 10.3 A of
30 A / 1.25, 400 W x 0.96 / 14.4 V = 26.67 A of 40 A (see hand_made.the_good_plan).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hand_made import FEN, NAN, OTTER, REED, codes, texts, the_good_job, the_good_plan, with_wiring

from rooflayout.inspection.inspect import inspect_plan
from rooflayout.inspection.portable import open_rack_cell_c
from rooflayout.job import Bench, ControllerModel, Job, PanelModel, PortablePanels, WiringRules
from rooflayout.plan import CableRun, MeterReading, Mismatch, Note, Plan, PortableString

OWN = PortablePanels("folding pair", FEN, 2, OTTER, own_controller=True)
PLANNED = PortableString(
    "folding pair", "Fen", "Otter", True, 2, 1, 53.12, 33.27, 10.3, 400.0, 26.67, 0.0
)  # fmt: skip
JOB = replace(the_good_job(), portable=(OWN,))
GOOD = with_wiring(the_good_plan(), portable=(PLANNED,))


def with_portable(**changes: Any) -> Plan:
    return with_wiring(GOOD, portable=(replace(PLANNED, **changes),))


def with_own(own: PortablePanels = OWN, **job: Any) -> Job:
    return replace(JOB, portable=(own,), **job)


def otter(**changes: Any) -> ControllerModel:
    return replace(OTTER, **changes)


def test_the_planned_pair_holds() -> None:
    assert inspect_plan(JOB, GOOD) == []


# 2 x 24.5 V x (1 - 0.0028 x 20 + 0.05 ln 0.8) = 45.71 V; 10.3 A x 0.8 x 1.01 = 8.32 A (cabled_plan.py)
READ = MeterReading("folding pair", 800.0, 45.0, 45.71, 8.32, 43.42, 48.0, 7.81, 8.83)


def with_read(*readings: MeterReading) -> Plan:
    return with_wiring(GOOD, portable_readings=readings)


def test_the_reading_at_the_plug_holds() -> None:
    assert inspect_plan(JOB, with_read(READ)) == []


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"voc_v": 43.9}, "reading"),  # 4 % too little
        ({"isc_a": 8.11}, "reading"),  # 2.5 %
        ({"irradiance_w_m2": 1000.0}, "reading"),
        ({"cell_c": 25.0}, "reading"),
        ({"voc_low_v": 45.8}, "reading-range"),
        ({"isc_high_a": 9.6}, "reading-range"),
    ],
)
def test_a_reading_at_the_plug_changed(changes: dict[str, float], code: str) -> None:
    assert codes(JOB, with_read(replace(READ, **changes))) == {code}


def test_a_reading_at_the_plug_is_of_a_set_and_of_each_once() -> None:
    assert codes(JOB, with_read(READ, READ)) == {"reading-missing"}
    assert codes(JOB, with_read(replace(READ, string="spare"))) == {"reading-string", "reading-missing"}
    none = "the job has [bench]; the plan states no meter readings of the strings at all"
    assert texts(replace(JOB, bench=Bench(800.0, 45.0)), with_read(READ)) == [none]
    assert "reading-conditions" in codes(replace(JOB, bench=Bench(900.0, 45.0)), with_read(READ))


def test_where_the_job_gives_sun_or_cells_portable_panels_have_readings() -> None:
    job = replace(JOB, bench=Bench(800.0, 45.0))
    told = "the job has [bench]; the plan states no meter readings of the portable panels at all"
    assert told in texts(job, GOOD)
    assert told not in texts(job, with_read(READ))
    assert told not in texts(JOB, GOOD)


def test_current_in_parallel_is_read_at_the_plug() -> None:
    """Two side by side: half the volts, twice the amps."""
    wide = replace(OTTER, battery_v=(6.0,), start_above_battery_v=0.0)
    own = replace(OWN, controller=wide)
    plan = with_portable(in_series=1, in_parallel=2)
    read = replace(READ, voc_v=22.86, voc_low_v=21.71, voc_high_v=24.0, isc_a=16.64, isc_low_a=15.62)
    read = replace(read, isc_high_a=17.66)
    found = codes(with_own(own), with_wiring(plan, portable_readings=(read,)))
    assert not {c for c in found if c.startswith("reading")}
    found = codes(with_own(own), with_wiring(plan, portable_readings=(READ,)))
    assert "reading" in found


def test_a_pair_left_out_is_a_breach_unless_a_note_says_why() -> None:
    """What an input cannot take is left out, with a note."""
    left_out = the_good_plan()
    assert texts(JOB, left_out) == [
        "the job has portable panels folding pair; the plan neither has them nor says why not"
    ]
    note = Note("warning", "portable-not-taken", "folding pair: Otter cannot take 2 x Fen.")
    assert codes(JOB, replace(left_out, notes=(note,))) == set()
    other = replace(note, text="folding pair 2: Otter cannot take 2 x Fen.")
    assert codes(JOB, replace(left_out, notes=(other,))) == {"portable-missing"}
    assert codes(JOB, replace(left_out, notes=(replace(note, code="portable-live"),))) == {"portable-missing"}
    assert codes(replace(JOB, portable=()), left_out) == set()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"name": "spare"}, "the plan has portable panels spare; the job has folding pair"),
        ({"model": "Reed"}, "folding pair states the model Reed; it is Fen"),
        ({"in_parallel": 2}, "folding pair has 2 in series and 2 in parallel; there are 2 panels"),
        ({"in_series": 1}, "folding pair has 1 in series and 1 in parallel; there are 2 panels"),
        ({"in_series": -2, "in_parallel": -1}, "there are 2 panels"),
        ({"into": "Heron"}, "folding pair plugs into Heron; the job says Otter, its own"),
        ({"own_controller": False}, "the job says Otter, its own"),
    ],
)
def test_it_is_the_jobs(changes: dict[str, Any], said: str) -> None:
    plan = with_portable(**changes)
    assert "portable" in codes(JOB, plan)
    assert any(said in text for text in texts(JOB, plan))


def test_once_is_enough() -> None:
    assert codes(JOB, with_wiring(GOOD, portable=(PLANNED, PLANNED))) == {"name-twice"}


@pytest.mark.parametrize(
    ("most_v", "breach"), [(53.116, False), (53.115, True)]
)  # 2 x 24.5 V x (1 + 0.0028 x 30)
def test_voltage_in_the_cold(most_v: float, breach: bool) -> None:
    strong, stiff = replace(FEN, max_system_v=most_v), otter(max_pv_v=most_v)
    assert codes(with_own(replace(OWN, controller=stiff)), GOOD) == ({"pv-voltage"} if breach else set())
    assert codes(with_own(replace(OWN, model=strong)), GOOD) == ({"system-voltage"} if breach else set())
    capped = with_own(wiring_rules=WiringRules(most_string_v=most_v))
    found = {b.where for b in inspect_plan(capped, GOOD) if b.code == "most-string-voltage"}
    assert ("folding pair" in found) == breach


@pytest.mark.parametrize(
    ("above_v", "breach"), [(18.87, False), (18.88, True)]
)  # 33.2700 V less the 14.4 V of the battery
def test_voltage_in_the_heat(above_v: float, breach: bool) -> None:
    needy = replace(OWN, controller=otter(start_above_battery_v=above_v))
    assert codes(with_own(needy), GOOD) == ({"charge-voltage"} if breach else set())


def test_cells_in_free_air_agree_with_pvlib() -> None:
    """The model of King and others 2004, SAND2004-3535, glass/glass on an open rack."""
    from pvlib.temperature import TEMPERATURE_MODEL_PARAMETERS, sapm_cell

    rack = TEMPERATURE_MODEL_PARAMETERS["sapm"]["open_rack_glass_glass"]
    for air in (-20, 0, 25, 45):
        assert open_rack_cell_c(air) == pytest.approx(sapm_cell(1000, air, 1, **rack), abs=1e-9)


@pytest.mark.parametrize(("most_a", "breach"), [(12.875, False), (12.87, True)])  # 1.25 x 10.3 A
def test_current(most_a: float, breach: bool) -> None:
    small = with_own(replace(OWN, controller=otter(max_pv_isc_a=most_a)))
    assert codes(small, GOOD) == ({"pv-current"} if breach else set())


def test_battery() -> None:
    assert codes(with_own(replace(OWN, controller=otter(battery_v=(24,)))), GOOD) == {"battery-voltage"}
    lone = replace(JOB, battery=None, controllers=None)
    assert "battery-voltage" in codes(lone, GOOD)


FIGURES = {
    "voc_cold_v": 53.116, "vmp_hot_v": 33.27, "isc_a": 10.3, "power_w": 400.0, "charge_a": 26.667,
}  # fmt: skip


@pytest.mark.parametrize(("field", "right"), FIGURES.items())
def test_stated_figures(field: str, right: float) -> None:
    for share, breach in ((0.9951, False), (1.0049, False), (0.994, True), (1.006, True)):
        plan = with_portable(**{field: right * share})
        assert codes(JOB, plan) == ({"stated-value"} if breach else set())
    assert codes(JOB, with_portable(**{field: NAN})) == set()


def test_what_a_small_input_cuts_off() -> None:
    """20 A x 14.4 V / 0.96 = 300 W of 400 W."""
    small = with_own(replace(OWN, controller=otter(max_charge_a=20)))
    assert codes(small, with_portable(charge_a=20.0, clipped_w=100.0)) == set()
    assert codes(small, with_portable(charge_a=20.0, clipped_w=99.0)) == {"stated-value"}
    assert codes(small, GOOD) == {"stated-value"}


def test_a_battery_with_a_limit_needs_the_charge_current() -> None:
    """The Otter on the roof charges with 40 A, the pair with 26.67 A at 14.4 V, 32 A at 12 V."""
    assert JOB.battery is not None
    for most_a, breach in ((72.0, False), (71.9, True)):
        job = replace(JOB, battery=replace(JOB.battery, most_charge_a=most_a))
        assert codes(job, GOOD) == ({"battery-charge"} if breach else set())
    unstated = with_portable(charge_a=NAN)
    job = replace(JOB, battery=replace(JOB.battery, most_charge_a=40.0))
    assert codes(job, unstated) == {"battery-charge"}
    assert codes(JOB, unstated) == set()


def test_blank_figures_are_passed_over() -> None:
    blank: PanelModel = replace(REED, voc_v=None)
    job = with_own(replace(OWN, model=blank))
    assert codes(job, with_portable(model="Reed")) == set()


def unlike(loss_pct: float, **changes: Any) -> Plan:
    return with_wiring(GOOD, mismatch=(replace(Mismatch("C1", 1, ("S1", "S2"), loss_pct), **changes),))


@pytest.mark.parametrize(
    ("most_pct", "loss_pct", "breach"),
    [
        (2.0, 2.0, False), (2.0, 2.005, False), (2.0, 2.01, True), (0.0, 0.1, True), (5.0, 4.0, False),
        (2.0, NAN, False),
    ],
)  # fmt: skip
def test_mismatch_beyond_the_jobs_limit(most_pct: float, loss_pct: float, breach: bool) -> None:
    job = replace(JOB, wiring_rules=WiringRules(most_mismatch_pct=most_pct))
    assert codes(job, unlike(loss_pct)) == ({"mismatch"} if breach else set())


def test_the_text_of_a_mismatch_names_both() -> None:
    assert texts(JOB, unlike(3.4)) == ["S1, S2 on C1 tracker 1 lose 3.4 % together; the job allows 2 %"]


@pytest.mark.parametrize("changes", [{"strings": ("S1",)}, {"strings": ("S1", "S3")}, {"tracker": 2}])
def test_a_mismatch_is_of_a_trackers_strings(changes: dict[str, Any]) -> None:
    assert codes(JOB, unlike(1.0, **changes)) == {"mismatch-strings"}


def test_readings_and_runs_name_what_is_there() -> None:
    read = MeterReading("S1", 800, 45, *[NAN] * 6)
    run = CableRun("R1", "string", "S2", "C1 tracker 1", *[NAN] * 2, False, *[None] * 6, False, "")
    out = replace(run, run="R2", kind="battery", start="C1", end="battery")
    strayed = {"reading-string", "run-start"}
    assert not strayed & codes(JOB, with_wiring(GOOD, readings=(read,), runs=(run, out)))
    assert "reading-string" in codes(JOB, with_wiring(GOOD, readings=(replace(read, string="S3"),)))
    assert "run-start" in codes(JOB, with_wiring(GOOD, runs=(replace(run, start="S3"),)))
    assert "run-start" in codes(JOB, with_wiring(GOOD, runs=(replace(out, start="C2"),)))
