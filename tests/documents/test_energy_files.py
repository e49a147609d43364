"""Energy and balance in plan.json, read back, in months.csv and on the terminal."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from pathlib import Path

import pytest
from front_door import undrawn
from rich.console import Console

from rooflayout.documents.contents import proof_line as drawn_proof
from rooflayout.documents.energy_json import balance_to_dict, energy_to_dict
from rooflayout.documents.month_chart import months_table
from rooflayout.documents.months_csv import months_csv
from rooflayout.documents.plan_json import plan_to_dict
from rooflayout.documents.write import plan_to_json, write_documents
from rooflayout.energy.sentences import month_sentence
from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Battery, Facet, Job, Obstacle, PanelModel, PanelRules, Site
from rooflayout.months import SHORT_MONTHS as MONTHS
from rooflayout.needs import Load, Vehicle
from rooflayout.plan import Note, Plan
from rooflayout.planner import plan_job
from rooflayout.survey.plan_file import read_plan
from rooflayout.survey.problems import ProblemsFound
from rooflayout.terminal import proof_line as terminal_proof
from rooflayout.terminal_energy import balance_lines, energy_lines, month_table
from rooflayout.yields import FacetYield, LoadHours

from .energy_samples import WITH_ENERGY

FERN = PanelModel("Fern", 1000, 500, 100.0, mass_kg=8.0)
JOB = Job(
    "small roof",
    (Facet("roof", ((0, 0), (2200, 0), (2200, 1000), (0, 1000))),),
    PanelRules((FERN,)),
    (
        Obstacle(
            "chimney", "roof", "chimney", outline_mm=((0, 0), (200, 0), (200, 200), (0, 200)), height_mm=500
        ),
    ),
    site=Site(40.7, 0.7),
    battery=Battery(12.0, 14.4, 100.0, chemistry="lithium"),
    loads=(Load("fridge", 400.0, 40.0), Load("kettle", 200.0, 1000.0, inverter=True, months=(1, 2))),
    vehicle=Vehicle(
        "trailer", axle_x_mm=900, coupling_x_mm=3500, mass_kg=700, most_mass_kg=750, coupling_kg=50
    ),
    file_name="small-roof.toml",
)


@pytest.fixture(scope="module")
def plan() -> Plan:
    return plan_job(JOB)


@pytest.fixture(scope="module")
def folder(plan: Plan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("energy")
    with undrawn():  # its files are read here, and no sheet
        write_documents(JOB, plan, made)
    return made


def test_what_is_written_is_read_back(plan: Plan, folder: Path) -> None:
    again = read_plan(folder / "plan.json", JOB)
    assert plan.energy is not None
    assert plan.balance is not None
    assert again.energy is not None
    assert again.balance is not None
    written = energy_to_dict(plan.energy)
    assert energy_to_dict(again.energy) == written
    assert balance_to_dict(again.balance) == balance_to_dict(plan.balance)
    assert inspect_plan(JOB, again) == []
    assert list(written) == [
        *("wh_year", "uncertainty_pct", "harvest_uncertainty_pct", "month_uncertainty_pct", "source"),
        "place",
        *("months", "controllers", "facets", "shade"),
        "usable_wh",
        *("days_without_sun", "refill_hours", "watts_per_ah", "load_hours", "soc_band_pct"),
    ]
    assert list(balance_to_dict(plan.balance)) == [
        *("added_kg", "centre_x_mm", "centre_y_mm", "lopsided_kg_m", "items", "bearings"),
        *("payload_left_kg", "heel_deg", "roof_kg_m2", "unknown"),
    ]
    assert written["months"][0]["month"] == 1
    for month, own in zip(written["months"], plan.energy.months, strict=True):
        for key in ("empty_less_sun_pct", "empty_more_sun_pct", "spilled_pct"):
            assert month[key] == round(getattr(own, key), 1)
    assert max(m["spilled_pct"] for m in written["months"]) > 0.0
    assert len(written["soc_band_pct"]) == 365


def test_wrong_figures_in_the_file_are_told_with_their_line(folder: Path, tmp_path: Path) -> None:
    data = json.loads((folder / "plan.json").read_text())
    data["energy"]["months"][2]["harvest_wh_day"] = "much"
    data["energy"]["months"][3]["month"] = 13
    data["energy"]["load_hours"][0]["hours_day"] = [1, 2]
    data["energy"]["soc_band_pct"][40] = [1, "x", 3]
    del data["balance"]["items"][0]["item"]
    wrong = tmp_path / "plan.json"
    wrong.write_text(json.dumps(data, indent=2))
    with pytest.raises(ProblemsFound) as found:
        read_plan(wrong, JOB)
    told = "\n".join(str(p) for p in found.value.problems)
    for words in (
        "harvest_wh_day",
        "a month from 1 to 12",
        "twelve numbers, January first",
        "soc_band_pct, day 41",
        "item",
    ):
        assert words in told
    assert len(found.value.problems) == 5
    assert all(p.line for p in found.value.problems)


def test_months_for_a_spreadsheet(plan: Plan, folder: Path) -> None:
    assert plan.energy is not None
    rows = list(csv.DictReader(io.StringIO(months_csv(plan.energy))))
    assert [int(r["month"]) for r in rows] == list(range(1, 13))
    assert float(rows[6]["harvest_wh_day"]) == round(plan.energy.months[6].harvest_wh_day)
    assert float(rows[0]["demand_wh_day"]) > float(rows[6]["demand_wh_day"])
    for own, row in zip(plan.energy.months, rows, strict=True):  # 0.4 % is not never
        assert float(row["empty_less_sun_pct"]) == round(own.empty_less_sun_pct or 0.0, 1)
        assert float(row["spilled_pct"]) == round(own.spilled_pct or 0.0, 1)
        assert float(row["month_uncertainty_pct"]) == round(plan.energy.month_uncertainty_pct or 0.0, 1)
    assert "harvest_uncertainty_pct" not in rows[0]  # the year's, in plan.json
    for row in rows:
        more, own, less = (float(row[k]) for k in ("empty_more_sun_pct", "empty_pct", "empty_less_sun_pct"))
        assert more <= own <= less
    assert (folder / "months.csv").read_text() == months_csv(plan.energy)


def test_the_terminal_shows_only_what_there_is(plan: Plan) -> None:
    assert plan.energy is not None
    headers = [str(c.header).replace("\n", " ").strip() for c in month_table(plan.energy).columns]
    assert headers == [
        *("Wh a day", "sun kWh/m²", "roof", "drawn"),
        *("days empty", "less sun", "charge low", "middle", "high", "no room"),
    ]
    month_off = f"{plan.energy.month_uncertainty_pct:.0f} %"
    assert energy_lines(JOB, plan)[0] == (
        f"Less sun: days empty if the month has {month_off} less sun than estimated; "
        "no room: of what could come in, what finds the battery full."
    )
    bare = tuple(replace(m, empty_less_sun_pct=None, spilled_pct=None) for m in plan.energy.months)
    as_written_before = replace(plan, energy=replace(plan.energy, months=bare))
    assert len(month_table(as_written_before.energy).columns) == 8
    assert energy_lines(JOB, as_written_before)[0].startswith("Charge: ")
    text = " ".join(energy_lines(JOB, plan))
    assert plan.energy.harvest_uncertainty_pct is not None
    assert plan.energy.month_uncertainty_pct is not None
    year, month = f"{plan.energy.harvest_uncertainty_pct:.0f}", f"{plan.energy.month_uncertainty_pct:.0f}"
    assert float(month) > float(year) > 12.0
    within = f"within {year} % at nine places in ten, a single month within {month} %"
    assert f"kWh a year, {within} (the sun alone is known to 12 %)" in text
    assert "days without sun" in text
    assert energy_lines(JOB, replace(plan, energy=None)) == []
    (line,) = balance_lines(plan.balance)
    assert "kg are added" in line
    assert "coupling +" in line
    assert "payload left" in line
    assert balance_lines(None) == []


def test_a_harvest_that_is_packed_for_is_told_with_its_own_proof(plan: Plan, tmp_path: Path) -> None:
    """Where the job aims at harvest, "proven" is of the year's Wh: more watts may be possible."""
    layout = replace(
        plan.layout,
        watts=400.0,
        bound_watts=500.0,
        status="proven",
        seconds=1.0,
        harvest_wh_year=500_040.0,
        bound_harvest_wh_year=500_040.0,
    )
    aimed = replace(plan, layout=layout)
    told = "400 W, 500.0 kWh a year before the controllers"
    assert terminal_proof(aimed) == (
        f"{told}, proven over the positions tried: no other arrangement gives more in a year (1.0 s)."
    )
    assert drawn_proof(aimed) == (
        f"{told}. Proven over the positions tried: no other arrangement gives more in a year."
    )
    open_end = replace(aimed, layout=replace(layout, status="best found", bound_harvest_wh_year=512_300.0))
    assert terminal_proof(open_end) == (
        f"{told}, the best found in 1.0 s; no layout of the positions tried can give more than 512.3 kWh."
    )
    assert drawn_proof(open_end) == (
        f"{told}. Best found; no layout of the positions tried can exceed 512.3 kWh."
    )
    (tmp_path / "plan.json").write_text(plan_to_json(JOB, open_end), encoding="utf-8")
    again = read_plan(tmp_path / "plan.json", JOB).layout
    assert (again.harvest_wh_year, again.bound_harvest_wh_year) == (500_040.0, 512_300.0)


@pytest.mark.parametrize("width", [80, 110])
@pytest.mark.parametrize("name", sorted(WITH_ENERGY))
def test_no_row_of_the_months_is_broken(name: str, width: int) -> None:
    _, made = WITH_ENERGY[name]()
    if made.energy is None:
        return
    console = Console(width=width, record=True, file=io.StringIO())
    console.print(month_table(made.energy))
    lines = console.export_text().splitlines()
    assert [line[:3] for line in lines[2:]] == list(MONTHS)


def test_the_roof_is_told_on_the_terminal_where_it_has_a_limit(plan: Plan) -> None:
    assert plan.balance is not None
    (line,) = balance_lines(plan.balance)
    assert "roof" not in line
    bearings = tuple(replace(b, most_kg=50.0) if b.what == "roof" else b for b in plan.balance.bearings)
    (limited,) = balance_lines(replace(plan.balance, bearings=bearings))
    assert "roof +" in limited
    assert "of 50" in limited


def test_terminal_and_sheet_show_the_same_watt_hours(plan: Plan) -> None:
    """1008 Wh was 1008 on the terminal, 1010 on the sheet and 1000 in the sentence."""
    assert plan.energy is not None
    odd = tuple(replace(m, harvest_wh_day=1008.0, demand_wh_day=1663.0) for m in plan.energy.months)
    energy = replace(plan.energy, months=odd)
    shown = [list(column.cells) for column in month_table(energy).columns]
    rows = {row.cells[0]: row.cells[1:] for row in months_table(energy).rows}
    assert shown[2] == list(rows["roof panels, Wh a day"]) == ["1010"] * 12
    assert shown[3] == list(rows["loads, Wh a day"]) == ["1660"] * 12
    assert "gives 1010 Wh of the 1660 Wh a day" in month_sentence(1, 1008.0, 0.0, 1663.0, None)


def test_a_limit_that_is_passed_stands_out_on_the_terminal(plan: Plan) -> None:
    assert plan.balance is not None
    first, *others = plan.balance.bearings
    over = replace(first, before_kg=95.0, change_kg=10.0, most_kg=100.0)
    (line,) = balance_lines(replace(plan.balance, bearings=(over, *others), payload_left_kg=-12.3))
    assert "coupling +10.0 kg to 105.0 kg of 100 (OVER its limit)" in line
    assert "payload left none, 12.3 kg too heavy" in line
    (line,) = balance_lines(replace(plan.balance, bearings=(replace(over, most_kg=105.0), *others)))
    assert "OVER" not in line


def test_a_boat_that_does_not_heel_is_level(plan: Plan) -> None:
    assert plan.balance is not None
    for deg, words in ((0.04, "level"), (-0.04, "level"), (0.06, "heel 0.1° to the left"), (-2.0, "right")):
        (line,) = balance_lines(replace(plan.balance, heel_deg=deg))
        assert line.endswith(f"{words}.")


def test_lists_of_numbers_stand_on_one_line_and_mean_the_same(plan: Plan) -> None:
    titled = replace(plan, title='Van "[\n 1,\n 2\n]" [ 1, 2 ]')
    text = plan_to_json(JOB, titled)
    assert json.loads(text) == plan_to_dict(JOB, titled)
    day = plan_to_dict(JOB, plan)["energy"]["soc_band_pct"][0]
    assert f"\n      [{', '.join(map(str, day))}],\n" in text


def test_a_plan_over_a_limit_says_so_before_its_watts(plan: Plan) -> None:
    note = Note("warning", "axle-load", "The axle bears 1505.0 kg, 5.0 kg over its limit of 1500 kg.")
    plain = replace(plan, notes=())
    assert drawn_proof(replace(plan, notes=(note,))) == (
        f"OVER A LIMIT: not to be built like this. {drawn_proof(plain)}"
    )
    assert "LIMIT" not in drawn_proof(plain)


def test_what_the_sun_alone_carries_and_what_a_facet_is_worth(plan: Plan) -> None:
    assert plan.energy is not None
    hours = (LoadHours("fan", (1.0, *(5.0,) * 10, 9.5)), LoadHours("hob", (0.0,) * 12))
    facets = (FacetYield("roof", 1290.4), FacetYield("slope", 1219.6))
    lines = energy_lines(JOB, replace(plan, energy=replace(plan.energy, load_hours=hours, facets=facets)))
    assert "The sun alone carries, hours a day: fan 1.0 (Jan) to 9.5 (Dec); hob never." in lines
    spring = [Load("fan", 60.0, 30.0, months=(3, 12, 4)), Load("hob", 300.0, 900.0, months=(2,))]
    seldom = replace(JOB, loads=tuple(spring))
    in_spring = energy_lines(seldom, replace(plan, energy=replace(plan.energy, load_hours=hours)))
    assert "The sun alone carries, hours a day: fan 5.0 (Mar) to 9.5 (Dec); hob never." in in_spring
    worth = (
        "A watt of panel would give in a year, without shade and controllers: roof 1290 Wh, slope 1220 Wh."
    )
    assert worth in lines


@pytest.mark.parametrize(
    ("kg_m", "told"),
    [
        (4.04, "4.0 kg m more on the left"),
        (-4.04, "4.0 kg m more on the right"),
        (0.04, "as heavy on the left as on the right"),
    ],
)
def test_left_and_right_are_told(plan: Plan, kg_m: float, told: str) -> None:
    assert plan.balance is not None
    (line,) = balance_lines(replace(plan.balance, lopsided_kg_m=kg_m))
    assert told in line
