"""Remarks on a finished plan that no room of its own tests."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rooflayout.job import (
    Battery,
    ControllerModel,
    Controllers,
    Facet,
    Job,
    KeptPanel,
    PanelModel,
    PanelRules,
    Site,
)
from rooflayout.plan import Layout, PanelString, Plan, Temperatures, Wiring
from rooflayout.planner import plan_job
from rooflayout.remarks import dangerous, remarks

SQUARE = ((0.0, 0.0), (900.0, 0.0), (900.0, 700.0), (0.0, 700.0))
NOTCHED = ((200.0, 0.0), (900.0, 0.0), (900.0, 700.0), (0.0, 700.0), (0.0, 100.0), (200.0, 100.0))
CHAMFERED = ((-100.0, 100.0), (100.0, -100.0), (900.0, -100.0), (900.0, 700.0), (-100.0, 700.0))
FROM_MIDDLE = ((-450.0, -350.0), (450.0, -350.0), (450.0, 350.0), (-450.0, 350.0))


@pytest.mark.parametrize(
    ("outline", "warned"), [(SQUARE, False), (NOTCHED, True), (CHAMFERED, False), (FROM_MIDDLE, True)]
)
def test_a_datum_that_no_tape_can_be_hooked_to_is_told(
    outline: tuple[tuple[float, float], ...], warned: bool
) -> None:
    job = Job("x", (Facet("main", outline),), PanelRules((PanelModel("Reed 40", 400, 300, 40.0),)))
    codes = {note.code for note in plan_job(job, time_limit_s=20).notes}
    assert ("datum-off-edge" in codes) == warned


def wired(panel: PanelModel, most_v: float) -> Job:
    """One panel on one controller, in a place of -5 to 30 °C, for a battery of 12 V."""
    controller = ControllerModel("Rush 30", most_v, 20, 60, (12.0,), 1, 1.0, 97.0)
    return Job(
        "x",
        (Facet("main", ((0.0, 0.0), (1100.0, 0.0), (1100.0, 600.0), (0.0, 600.0))),),
        PanelRules((panel,)),
        site=Site(coldest_c=-5.0, hottest_c=30.0),
        battery=Battery(12.0, 14.4),
        controllers=Controllers((controller,), (controller,)),
    )


def said(job: Job) -> dict[str, str]:
    return {note.code: note.text for note in plan_job(job, time_limit_s=20).notes}


MODEL = PanelModel("Reed 160", 1000, 500, 160.0, voc_v=44.0, vmp_v=36.0, isc_a=4.7, imp_a=4.45)


def test_the_limit_of_the_panel_counts_as_well_as_the_controllers() -> None:
    """44 V x 1.12 (NEC 690.7(A) at -5 °C, from memory) = 49.28 V; the next row, 1.14, gives 50.16 V."""
    text = "S1 reaches 49.3 V of 50 V at -5 °C; at -6 °C it would be over the limit."
    assert said(wired(MODEL, 50.0))["tight-cold-voltage"] == text
    assert said(wired(replace(MODEL, max_system_v=50.0), 100.0))["tight-cold-voltage"] == text
    assert "tight-cold-voltage" not in said(wired(replace(MODEL, max_system_v=51.0), 100.0))


def test_with_a_coefficient_the_degree_is_the_coefficients() -> None:
    """44 V (1 + 0.003 x 30) = 47.96 V, and 0.132 V more for each degree: 48.6 V is passed at -10 °C."""
    text = said(wired(replace(MODEL, voc_pct_per_k=-0.3), 48.6))["tight-cold-voltage"]
    assert text == "S1 reaches 48.0 V of 48.6 V at -5 °C; at -10 °C it would be over the limit."


@pytest.mark.parametrize(("x_mm", "told"), [(300.0, False), (300.5, True)])
def test_parts_of_a_millimetre_are_told(x_mm: float, told: bool) -> None:
    outline = ((x_mm, 0.0), (x_mm + 1000, 0.0), (x_mm + 1000, 400.0), (x_mm, 400.0))
    job = Job("x", (Facet("main", outline),), PanelRules((PanelModel("Reed 40", 400, 300, 40.0),)))
    assert ("whole-millimetres" in said(job)) == told


def test_no_facet_for_the_shortest_string_is_said_so() -> None:
    """Two panels fit, but at 24 V the controller needs three in series: not "no place for a panel"."""
    panel = PanelModel("P", 1000, 500, 100, voc_v=22, vmp_v=18, isc_a=6, imp_a=5.6)  # invented
    controller = ControllerModel("C", 100, 30, 20, (24.0,))  # invented
    outline = ((0.0, 0.0), (2100.0, 0.0), (2100.0, 500.0), (0.0, 500.0))
    job = Job(
        "t",
        (Facet("main", outline),),
        PanelRules((panel,)),
        battery=Battery(24, 28.8),
        controllers=Controllers((controller,), (controller,)),
    )
    plan = plan_job(job)
    assert plan.layout.status == "nothing fits"
    (text,) = [n.text for n in plan.notes if n.code == "nothing-fits-space"]
    assert "at least 3 x P" in text


def test_why_a_kept_panel_is_on_no_string_is_told_once() -> None:
    """200 V x 1.12 is above the 50 V of the controller."""
    high = replace(MODEL, model="Heath 150", voc_v=200.0, vmp_v=170.0)
    job = wired(MODEL, 50.0)
    wide = Facet("main", ((0.0, 0.0), (2300.0, 0.0), (2300.0, 600.0), (0.0, 600.0)))
    job = replace(job, facets=(wide,), kept=(KeptPanel(high, "main", 0.0, 0.0),))
    notes = plan_job(job, time_limit_s=20).notes
    assert [n.code for n in notes if "Heath 150" in n.text] == ["kept-unwired"]
    (told,) = [n.text for n in notes if n.code == "kept-unwired"]
    assert "One Heath 150 on Rush 30 reaches 224.0 V" in told


@pytest.mark.parametrize(
    ("bound_wh", "text"),
    [
        (
            312_340.0,
            "The search ended before the proof; no layout of the positions tried gives more than "
            "312.3 kWh a year before the controllers.",
        ),
        (None, "The search ended before the proof."),
    ],
)
def test_a_layout_for_harvest_is_not_proven_in_watt_hours(bound_wh: float | None, text: str) -> None:
    job = Job("x", (Facet("main", SQUARE),), PanelRules((MODEL,), aim="harvest"))
    layout = Layout(160.0, 320.0, "best found", 1.0, (), None, 300_000.0, bound_wh)
    (note,) = (n for n in remarks(job, Plan("x", "x.toml", layout), supply=None) if n.code == "not-proven")
    assert note.text == text


def test_without_a_proof_near_misses_may_be_missing_too() -> None:
    job = Job("x", (Facet("main", SQUARE),), PanelRules((MODEL,)))
    for status, told in (("best found", 1), ("proven", 0)):
        plan = Plan("x", "x.toml", Layout(160.0, 320.0, status, 1.0, (), None))
        notes = [n for n in remarks(job, plan, supply=None) if "Near misses may" in n.text]
        assert [n.code for n in notes] == ["not-proven"] * told


def test_strings_above_60_and_above_120_v_are_named() -> None:
    """IEC 61140 classes as the project has them: 60 V DC and 120 V DC. Four strings by hand."""
    strings = tuple(
        PanelString(f"S{n}", "C1", 1, "main", "Reed 160", (f"P{n}",), cold_v, 30.0, 4.7, 160.0)
        for n, cold_v in enumerate((59.9, 60.04, 120.0, 120.3), 1)
    )
    wiring = Wiring(strings, (), (), Temperatures(-5.0, "given", 30.0, 79.5, "given"))
    assert [(n.severity, n.code, n.text) for n in dangerous(wiring)] == [
        (
            "warning",
            "above-120-v",
            "S4 reaches up to 120.3 V: above 120 V DC, a deadly voltage; for qualified hands only.",
        ),
        (
            "caution",
            "above-60-v",
            "S2, S3 reach up to 120 V: above 60 V DC, dangerous to touch even when dry.",
        ),
    ]


def test_what_the_battery_takes_is_asked_for_where_nobody_said() -> None:
    """160 W x 0.97 / 12 V = 12.9 A into a low battery, of 50 Ah 25.9 %."""
    job = wired(MODEL, 100.0)
    assert job.battery is not None
    sized = replace(job, battery=replace(job.battery, capacity_ah=50.0))
    assert said(sized)["battery-charge-unknown"].startswith(
        "What the battery takes at most is not given ([battery] most_charge): in full sun it gets up to 13 A "
        "while it is low, 26 A "
    )
    assert (
        "in full sun it gets up to 13 A while it is low; look it up." in said(job)["battery-charge-unknown"]
    )
    known = replace(job, battery=replace(job.battery, most_charge_a=40.0))
    assert "battery-charge-unknown" not in said(known)
