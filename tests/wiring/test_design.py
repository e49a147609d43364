"""What is added to a wiring so that it can be built and tested, over the whole road and back."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from rooflayout.documents.write import plan_to_json
from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import (
    Battery,
    Bench,
    Cable,
    ControllerModel,
    Controllers,
    Facet,
    Job,
    KeptPanel,
    PanelModel,
    PanelRules,
    PortablePanels,
    Site,
)
from rooflayout.plan import PlacedPanel, Wiring
from rooflayout.planner import plan_job
from rooflayout.survey.plan_file import read_plan
from rooflayout.wiring.bench import meter_readings
from rooflayout.wiring.design import design_notes, designed
from rooflayout.wiring.mismatch import wiring_mismatch
from rooflayout.wiring.temperatures import design_temperatures
from rooflayout.wiring.wire import wire

# invented
TILE = PanelModel(
    "Tile 100", 1000, 500, 100, voc_v=22.0, vmp_v=18.3, isc_a=5.8, imp_a=5.46,
    voc_pct_per_k=-0.28, isc_pct_per_k=0.05, power_pct_per_k=-0.35, max_series_fuse_a=15,
)  # fmt: skip
OLD = PanelModel("Old 90", 1000, 500, 90)
RIVER = ControllerModel("River 30", 100, 30, 30, (12.0,), start_above_battery_v=2, efficiency_pct=96)
INPUT = ControllerModel("vehicle charger", 60, 30, 15, (12.0,))
PAIR = PortablePanels("pair", TILE, 2, INPUT, own_controller=False)
SPARE = PortablePanels("spare", TILE, 2, RIVER, own_controller=True)
JOB = Job(
    "t",
    (Facet("main", ((0.0, 0.0), (2000.0, 0.0), (2000.0, 1000.0), (0.0, 1000.0))),),
    PanelRules((TILE,)),
    site=Site(coldest_c=-5, hottest_c=35),
    battery=Battery(12, 14.4),
    controllers=Controllers((RIVER,), (RIVER,)),
    cable=Cable(roof_run_mm=2000, gland_to_controller_mm=1000, controller_to_battery_mm=800),
    portable=(PAIR, SPARE),
    file_name="t.toml",
)


def placed(job: Job, *panels: PlacedPanel) -> tuple[tuple[PlacedPanel, ...], Wiring]:
    named, wiring = wire(job, design_temperatures(job.site), panels)
    return named, designed(job, named, wiring)


def tile(x: float, y: float) -> PlacedPanel:
    return PlacedPanel("", "main", "Tile 100", x, y, 1000, 500, False, 100)


def test_a_wiring_is_designed_whole() -> None:
    _, wiring = placed(JOB, tile(0, 0), tile(1000, 0))
    assert {r.start for r in wiring.runs} == {"S1", "C1"}
    assert wiring.readings == meter_readings(JOB, wiring)
    assert [(r.string, r.irradiance_w_m2, r.cell_c) for r in wiring.readings] == [("S1", 800.0, 45.0)]
    assert wiring.mismatch == wiring_mismatch(JOB, wiring) == ()
    assert [p.name for p in wiring.portable] == ["pair", "spare"]
    assert [r.string for r in wiring.portable_readings] == ["pair", "spare"]
    assert {r.voc_v for r in wiring.portable_readings} <= {r.voc_v for r in wiring.readings}  # two Tiles each


def test_readings_are_for_the_jobs_bench() -> None:
    _, wiring = placed(replace(JOB, bench=Bench(600.0, 30.0)), tile(0, 0), tile(1000, 0))
    assert [(r.irradiance_w_m2, r.cell_c) for r in wiring.readings] == [(600.0, 30.0)]


def test_unlike_strings_have_their_loss_and_its_note() -> None:
    """Two strings put on one tracker by hand, of two and of three panels: far beyond 2 %."""
    panels = [tile(0, 0), tile(1000, 0), tile(0, 500), tile(1000, 500)]
    named, wiring = placed(JOB, *panels)
    (one, *_) = wiring.strings
    halves = (
        replace(one, panels=("P1",)),
        replace(one, string="S2", panels=("P2", "P3", "P4")),
    )
    unlike = designed(JOB, named, replace(wiring, strings=halves))
    (loss,) = unlike.mismatch
    assert (loss.controller, loss.tracker, loss.strings) == ("C1", 1, ("S1", "S2"))
    assert loss.loss_pct > 10.0
    (note,) = [n for n in design_notes(JOB, unlike) if n.code == "mismatch"]
    assert note.severity == "warning"
    assert f"{loss.loss_pct:.1f} %" in note.text


def test_a_kept_panel_without_figures_has_no_reading_and_is_named() -> None:
    """It is on no string, so nothing is read there; the note on kept panels says why."""
    job = replace(JOB, kept=(KeptPanel(OLD, "main", 0, 0),))
    plan = plan_job(job, time_limit_s=20)
    assert plan.wiring is not None
    assert plan.wiring.unwired == ("K1",)
    assert {r.string for r in plan.wiring.readings} == {s.string for s in plan.wiring.strings}
    (note,) = [n for n in plan.notes if n.code == "kept-unwired"]
    assert "K1 (Old 90 on main)" in note.text
    assert "catalogue" in note.text


def written_and_read(job: Job, path: Path) -> Wiring:
    """Plans, writes plan.json, reads it back and inspects it: nothing may be wrong."""
    plan = plan_job(job, time_limit_s=20)
    path.write_text(plan_to_json(job, plan), encoding="utf-8")
    read = read_plan(path, job)
    assert inspect_plan(job, read) == []
    again = json.loads(plan_to_json(job, replace(read, near_misses=plan.near_misses)))
    assert again == json.loads(path.read_text(encoding="utf-8"))
    assert read.wiring is not None
    return read.wiring


def test_a_plan_with_all_of_it_is_read_back_and_holds(tmp_path: Path) -> None:
    wiring = written_and_read(JOB, tmp_path / "plan.json")
    assert wiring.runs
    assert wiring.readings
    assert [p.name for p in wiring.portable] == ["pair", "spare"]


def test_portable_panels_without_controllers_on_board(tmp_path: Path) -> None:
    wiring = written_and_read(replace(JOB, controllers=None), tmp_path / "plan.json")
    assert (wiring.strings, wiring.controllers, wiring.runs, wiring.readings) == ((), (), (), ())
    assert [(p.name, p.in_series, p.in_parallel) for p in wiring.portable] == [
        ("pair", 2, 1),
        ("spare", 2, 1),
    ]


def test_no_portable_panels_no_wiring() -> None:
    plan = plan_job(replace(JOB, controllers=None, portable=()), time_limit_s=20)
    assert plan.wiring is None
    assert plan.layout.watts == 400.0


@pytest.mark.parametrize(
    ("most_a", "turned", "right"),
    [
        (5.0, False, []),
        (14.9, False, []),
        (15.1, False, ["pair"]),
        (30.9, False, ["pair"]),
        (31.1, False, ["pair", "spare"]),
        (15.9, True, ["pair"]),  # the spare comes first and is too much, the pair may still be taken
        (16.1, True, ["spare"]),
    ],
)
def test_whatever_the_battery_takes_the_plan_holds(
    most_a: float, turned: bool, right: list[str], tmp_path: Path
) -> None:
    """200 W charge a low battery, of 12 V, with the 15 A of the charger's input, with 16.0 A by the River."""
    assert JOB.battery is not None
    for controllers in (JOB.controllers, None):
        job = replace(JOB, battery=replace(JOB.battery, most_charge_a=most_a), controllers=controllers)
        job = replace(job, portable=job.portable[::-1] if turned else job.portable)
        wiring = written_and_read(job, tmp_path / "plan.json")
        assert [p.name for p in wiring.portable] == right
        told = {n.text.split(":")[0] for n in plan_job(job, time_limit_s=20).notes if "not-taken" in n.code}
        assert told == {"pair", "spare"} - set(right)
