"""What is borne, worked out anew: a plan cannot pass by leaving rows out, nor by sums that agree."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from planned_examples import EXAMPLES, balance_of, planned, with_balance

from rooflayout.inspection.added import cable_kg
from rooflayout.inspection.borne import changes_kg, heel_deg, lopsided_kg_m
from rooflayout.inspection.from_above import middle_mm
from rooflayout.inspection.inspect import inspect_plan
from rooflayout.inspection.vehicle_limits import passed_limits
from rooflayout.job import Direction, Facet, Job, PanelModel, PanelRules
from rooflayout.needs import Mounts, Vehicle
from rooflayout.plan import CableRun, Layout, PlacedPanel, Plan
from rooflayout.yields import AddedMass, Balance, Bearing

NAME = "ringing-trailer"


def found(job: Job, plan: Plan) -> list[tuple[str, str]]:
    return [(b.code, b.where) for b in inspect_plan(job, plan)]


def with_limits(**limits: Any) -> Job:
    job = planned(NAME)[0]
    assert job.vehicle is not None
    return replace(job, vehicle=replace(job.vehicle, **limits))


def with_bearing(what: str, **changes: Any) -> Plan:
    bearings = balance_of(planned(NAME)[1]).bearings
    return with_balance(
        NAME, bearings=tuple(replace(b, **changes) if b.what == what else b for b in bearings)
    )


@pytest.mark.parametrize("name", EXAMPLES)
def test_it_comes_to_what_the_plan_states(name: str) -> None:
    """Two codes that share nothing agree on the loads of the examples, slopes included."""
    job, plan = planned(name)
    if plan.balance is None:
        assert job.vehicle is None
        return
    stated = {b.what: b.change_kg for b in plan.balance.bearings}
    assert changes_kg(job, plan) == pytest.approx(stated, abs=0.01)
    assert lopsided_kg_m(job, plan) == pytest.approx(plan.balance.lopsided_kg_m, abs=0.01)
    assert heel_deg(job, plan) == pytest.approx(plan.balance.heel_deg, abs=0.001)


LEFT_OUT: tuple[Callable[[], Plan], ...] = (
    lambda: replace(planned(NAME)[1], balance=None),
    lambda: with_balance(NAME, bearings=(), payload_left_kg=None, lopsided_kg_m=None),
)


@pytest.mark.parametrize("left_out", LEFT_OUT)
def test_limits_are_passed_though_nothing_is_stated_of_them(left_out: Callable[[], Plan]) -> None:
    own = changes_kg(*planned(NAME))
    lopsided = lopsided_kg_m(*planned(NAME))
    assert lopsided is not None
    limits = {
        "coupling": ("most_coupling_kg", 78.0 + own["coupling"]),
        "axle": ("most_axle_kg", 1212.0 + own["axle"]),
        "vehicle": ("most_mass_kg", 1290.0 + own["vehicle"]),
        "roof": ("most_roof_kg", own["roof"]),
        "left against right": ("most_lopsided_kg_m", abs(lopsided)),
    }
    kept = with_limits(**dict(limits.values()))
    assert passed_limits(kept, left_out()) == []
    for what, (key, most) in limits.items():
        job = with_limits(**{key: most - 0.11})
        assert [(b.code, b.where) for b in passed_limits(job, left_out())] == [("over-limit", what)]


def test_figures_that_the_job_asks_for_are_missing() -> None:
    job, plan = planned(NAME)
    asked = ["coupling", "axle", "vehicle", "roof", "payload_left_kg", "lopsided_kg_m"]
    assert found(job, replace(plan, balance=None)) == [("mass-missing", what) for what in asked]
    assert found(job, with_bearing("roof", change_kg=math.nan)) == [("mass-missing", "roof")]
    under = with_balance(NAME, roof_kg_m2=balance_of(plan).roof_kg_m2[1:])
    assert found(job, under) == []  # the job has no limit on a m²
    assert found(with_limits(most_roof_kg_m2=40.0), under) == [("mass-missing", "roof_kg_m2 of P1")]
    assert inspect_plan(replace(job, vehicle=None), replace(plan, balance=None)) == []


def test_what_the_roof_bears() -> None:
    job, plan = planned(NAME)
    (roof,) = [b for b in balance_of(plan).bearings if b.what == "roof"]
    slack = 0.06 + 0.01 * roof.change_kg
    for off, codes in (
        (slack - 0.01, []),
        (slack + 0.01, ["mass-balance"]),
        (-slack - 0.01, ["mass-balance"]),
    ):
        assert [c for c, _ in found(job, with_bearing("roof", change_kg=roof.change_kg + off))] == codes
    before = roof.before_kg or 0.0
    for off, codes in ((0.05, []), (0.07 + 0.01 * before, ["mass-balance"])):
        assert [c for c, _ in found(job, with_bearing("roof", before_kg=before + off))] == codes


def test_mounts_left_out_with_sums_that_agree() -> None:
    """What is left out of the items, the sum and all that follows from them."""
    job, plan = planned(NAME)
    kept = [i for i in balance_of(plan).items if "mounts" not in i.item]
    assert 0 < len(kept) < len(balance_of(plan).items)
    assert ("mass-sum", "added_kg") in found(job, _of_items(kept))


@pytest.mark.parametrize(("share", "breaches"), [(1.0, False), (0.99, True), (0.5, True)])
def test_cables_that_weigh_less(share: float, breaches: bool) -> None:
    job, plan = planned(NAME)
    items = [replace(i, kg=share * i.kg) if "cables" in i.item else i for i in balance_of(plan).items]
    assert any("cables" in i.item for i in items)
    wrong = {where for code, where in found(job, _of_items(items)) if code == "mass-place"}
    assert wrong == ({"cables from the panels", "cables to the battery"} if breaches else set())


def test_a_facets_panels_moved_with_the_centre_unchanged() -> None:
    job, plan = planned(NAME)
    items = {i.item: i for i in balance_of(plan).items}
    one, other = items["2 x Dunlin 110 on front slope"], items["6 x Tern 150 on main"]
    assert one.x_mm is not None
    assert other.x_mm is not None
    for off_mm, places in ((1.0, set()), (-2000.0, {one.item, other.item}), (2.0, {one.item})):
        items[one.item] = replace(one, x_mm=one.x_mm + off_mm)
        items[other.item] = replace(other, x_mm=other.x_mm - off_mm * one.kg / other.kg)
        moved = with_balance(NAME, items=tuple(items.values()))
        assert {where for code, where in found(job, moved) if code == "mass-place"} == places


def test_a_cable_by_hand() -> None:
    """5 m of two conductors of 10 mm²: 10 m x 10 mm² x 8.89 g/cm³ = 0.889 kg of copper; 10 AWG is 5.26 mm²
    (NEC chapter 9 table 8, from memory), 4/0 107.2 mm²."""
    run = CableRun("W1", "string", "S1", "C1", 1.0, 5000.0, False, 10.0, None, 30.0, 0.1, 1.0, None, True, "")
    assert cable_kg(run) == pytest.approx(1.5 * 0.889)
    for awg, mm2 in (("10", 5.26), ("4/0", 107.2)):
        own = cable_kg(replace(run, size_mm2=None, size_awg=awg))
        assert own == pytest.approx(1.5 * 0.0889 * mm2, rel=2e-3)
    assert cable_kg(replace(run, size_mm2=None)) is None
    assert cable_kg(replace(run, size_mm2=None, size_awg="fat")) is None


MODEL = PanelModel("Eider 200", 1000.0, 1000.0, 200.0, mass_kg=30.0)
TOP = Facet("top", ((0.0, 0.0), (4000.0, 0.0), (4000.0, 2000.0), (0.0, 2000.0)))


@pytest.mark.parametrize(
    ("downhill", "at"),
    [
        ("front", (4400.0, 700.0)),
        ("rear", (-400.0, 1300.0)),
        ("left", (1700.0, 2400.0)),
        ("right", (2300.0, -400.0)),
    ],
)
def test_a_slope_lies_at_the_edge_that_it_falls_from(downhill: str, at: tuple[float, float]) -> None:
    """60 degrees, so half as long from above; the panel's middle is 800 down from the upper edge and 300 to
    the right of the middle line, looking up the slope from below."""
    ways: dict[str, Direction] = {"front": "+x", "rear": "-x", "left": "+y", "right": "-y"}
    corners = ((0.0, 0.0), (1600.0, 0.0), (1600.0, 1600.0), (0.0, 1600.0))
    middles = {"+x": (800.0, 500.0), "-x": (800.0, 1100.0), "+y": (500.0, 800.0), "-y": (1100.0, 800.0)}
    slope = Facet("slope", corners, 60.0, ways[downhill])
    job = Job("x", (TOP, slope), PanelRules((MODEL,)))
    x, y = middles[ways[downhill]]
    panel = PlacedPanel("P1", "slope", MODEL.model, x - 500.0, y - 500.0, 1000.0, 1000.0, False, 200.0)
    assert middle_mm(job, panel) == pytest.approx(at)


def boat(x_mm: float, y_mm: float) -> tuple[Job, Plan]:
    """A boat of 570 kg that floats with 0.5 m of metacentric height, and one panel of 30 kg on it."""
    vehicle = Vehicle("boat", displacement_kg=570.0, metacentric_height_mm=500.0)
    job = Job("boat", (TOP,), PanelRules((MODEL,)), mounts=Mounts(0.0), vehicle=vehicle)
    panel = PlacedPanel("P1", "top", MODEL.model, x_mm, y_mm, 1000.0, 1000.0, False, 200.0)
    return job, Plan("boat", "boat.toml", Layout(200.0, 1600.0, "best found", 1.0, (panel,)))


def test_a_boat_may_heel_five_degrees() -> None:
    """tan 5° = 0.08749: 600 kg x 0.5 m x 0.08749 = 26.25 kg m, 30 kg at 874.9 mm off the middle."""
    for y_mm, passed in ((500.0 + 874.0, []), (500.0 + 878.0, ["heel"]), (500.0 - 878.0, ["heel"])):
        assert [b.where for b in passed_limits(*boat(0.0, y_mm))] == passed
    job, plan = boat(0.0, 500.0)
    for stated, passed in ((5.0, []), (-5.001, ["heel"])):
        balance = Balance((AddedMass("1 x Eider 200", 30.0),), 30.0, None, None, None, (), None, stated)
        assert [b.where for b in passed_limits(job, replace(plan, balance=balance))] == passed


def test_a_coupling_that_was_over_its_limit_before() -> None:
    """Told once; and told too where nobody can work out what the work does to it."""
    plan = replace(planned(NAME)[1], balance=None)
    for places in ({}, {"coupling_x_mm": None, "axle_x_mm": None}):
        job = with_limits(coupling_kg=101.0, **places)
        assert [b.where for b in passed_limits(job, plan)] == ["coupling"]


def test_kept_panels_lie_on_the_roof_before() -> None:
    """One kept panel of 30 kg and one new one, with mounts of 1 kg each."""
    job, plan = boat(0.0, 0.0)
    new = plan.layout.panels[0]
    panels = (new, replace(new, panel="P2", x_mm=1500.0, kept=True))
    job = replace(job, mounts=Mounts(1.0))
    plan = replace(plan, layout=replace(plan.layout, panels=panels))
    for before, change, wrong in ((31.0, 31.0, 0), (0.0, 31.0, 1), (31.0, 0.0, 1), (None, 62.0, 2)):
        balance = Balance((), 31.0, None, None, None, (Bearing("roof", change, before, None),))
        stated = [where for _, where in found(job, replace(plan, balance=balance))]
        assert stated.count("roof") == wrong


def _of_items(items: list[AddedMass]) -> Plan:
    """The trailer's plan with these items, and sum, centre, left and right, payload and loads to match."""
    job, plan = planned(NAME)
    vehicle, balance = job.vehicle, balance_of(plan)
    assert vehicle is not None
    assert vehicle.coupling_x_mm is not None
    assert vehicle.axle_x_mm is not None
    kg = sum(i.kg for i in items)
    x = sum(i.kg * (i.x_mm or 0.0) for i in items) / kg
    y = sum(i.kg * (i.y_mm or 0.0) for i in items) / kg
    coupling = kg * (x - vehicle.axle_x_mm) / (vehicle.coupling_x_mm - vehicle.axle_x_mm)
    changes = {"coupling": coupling, "axle": kg - coupling, "vehicle": kg}
    return with_balance(
        NAME,
        items=tuple(items),
        added_kg=kg,
        centre_x_mm=x,
        centre_y_mm=y,
        lopsided_kg_m=kg * (y - 1090.0) / 1000.0,
        payload_left_kg=1500.0 - 1290.0 - kg,
        bearings=tuple(replace(b, change_kg=changes.get(b.what, b.change_kg)) for b in balance.bearings),
    )
