"""A plan.json is read as it stands; what an inspection works out for itself may be absent."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from rooflayout.plan import ControllerLoad, Note, PlacedPanel, Temperatures
from rooflayout.survey.plan_file import read_plan
from rooflayout.survey.problems import Problem, ProblemsFound
from rooflayout.survey.read import read_job


@pytest.fixture
def plan_path(good: Path) -> Path:
    return good.with_name("plan.json")


def _read(path: Path) -> Any:
    return read_plan(path, read_job(path.with_name("trailer.toml"))[0])


def _problems(path: Path) -> list[Problem]:
    with pytest.raises(ProblemsFound) as caught:
        _read(path)
    return caught.value.problems


def _change(path: Path, change: Any) -> None:
    values = json.loads(path.read_text())
    change(values)
    path.write_text(json.dumps(values, indent=1))


def test_whole_plan(plan_path: Path) -> None:
    plan = _read(plan_path)
    assert (plan.title, plan.job_file, plan.seed, plan.schema) == (
        "Delta ringing trailer",
        "trailer.toml",
        3,
        1,
    )
    layout = plan.layout
    assert (layout.watts, layout.bound_watts, layout.status, layout.seconds) == (325, 400, "best found", 0.8)
    assert layout.panels == (
        PlacedPanel("P1", "main", "Heron 210", 1200, 40, 1480, 680, False, 210, False),
        PlacedPanel("K1", "main", "Heron 110", 40, 40, 1120, 530, False, 115, True),
    )
    (string,) = plan.wiring.strings
    assert (string.string, string.controller, string.tracker, string.panels) == ("S1", "C1", 1, ("P1",))
    assert (string.facet, string.model) == ("main", "Heron 210")
    assert (string.voc_cold_v, string.vmp_hot_v, string.isc_a, string.power_w) == (27.0, 17.9, 10.6, 210.0)
    assert plan.wiring.controllers == (ControllerLoad("C1", "Weir 100-30", 210.0, 10.6, 14.3, 0.0, 0.0),)
    assert plan.wiring.unwired == ("K1",)
    assert plan.wiring.temperatures == Temperatures(-5, "the job", 42, 77, "the job")
    assert plan.notes == (Note("caution", "kept-unwired", "K1 stays on its own controller."),)


def test_plan_with_names_and_places_only(plan_path: Path) -> None:
    def bare(values: Any) -> None:
        for key in ("schema", "title", "job", "seed", "notes"):
            del values[key]
        panels = values["layout"]["panels"]
        values["layout"] = {"panels": panels}
        for panel in panels:
            for key in ("turned", "kept", "watts"):
                del panel[key]
        panels[0]["along_x_mm"], panels[0]["along_y_mm"] = 680, 1480
        wiring = values["wiring"]
        del wiring["temperatures"], wiring["unwired"]
        for string in wiring["strings"]:
            for key in ("facet", "model", "voc_cold_v", "vmp_hot_v", "isc_a", "power_w"):
                del string[key]
        for load in wiring["controllers"]:
            for key in ("power_w", "isc_a", "charge_a", "clipped_w", "clipped_pct"):
                del load[key]

    _change(plan_path, bare)
    plan = _read(plan_path)
    assert (plan.title, plan.job_file, plan.notes) == ("Delta ringing trailer", "trailer.toml", ())
    assert plan.layout.status == "best found"
    assert math.isnan(plan.layout.watts)
    assert math.isnan(plan.layout.bound_watts)
    # Turned and watts follow from the catalogue, kept from the job.
    first, kept = plan.layout.panels
    assert (first.turned, first.watts, first.kept) == (True, 210.0, False)
    assert (kept.turned, kept.watts, kept.kept) == (False, 115.0, True)
    (string,) = plan.wiring.strings
    assert (string.facet, string.model) == ("main", "Heron 210")
    assert math.isnan(string.voc_cold_v)
    (load,) = plan.wiring.controllers
    assert math.isnan(load.charge_a)
    assert math.isnan(load.clipped_pct)
    assert math.isnan(plan.wiring.temperatures.coldest_cell_c)
    assert plan.wiring.temperatures.coldest_source == ""


@pytest.mark.parametrize("how", ["null", "absent"])
def test_no_wiring(plan_path: Path, how: str) -> None:
    def unwire(values: Any) -> None:
        values["wiring"] = None
        if how == "absent":
            del values["wiring"]

    _change(plan_path, unwire)
    assert _read(plan_path).wiring is None


def test_unknown_facet_and_model_are_read_as_they_stand(plan_path: Path) -> None:
    _change(plan_path, lambda v: v["layout"]["panels"][0].update(facet="roof", model="Teal 90"))
    panel = _read(plan_path).layout.panels[0]
    assert (panel.facet, panel.model, panel.watts) == ("roof", "Teal 90", 210.0)


def test_unknown_keys_are_left_alone(plan_path: Path) -> None:
    _change(plan_path, lambda v: v["layout"]["panels"][0].update(shade_pct=3, colour=None))
    assert _read(plan_path).layout.panels[0].panel == "P1"


@pytest.mark.parametrize(
    ("old", "new", "line", "message"),
    [
        ('"x_mm": 1200', '"x_mm": "1200"', 13, 'panel "P1", x_mm: found "1200"; expected a finite number'),
        ('"x_mm": 1200', '"x_mm": NaN', 13, 'panel "P1", x_mm: found nan'),
        ('"x_mm": 1200', '"x_mm": 1e999', 13, 'panel "P1", x_mm: found inf'),
        ('"x_mm": 1200', '"x": 1200', 13, 'panel "P1", x_mm: found nothing'),
        ('"along_y_mm": 530', '"along_y_mm": 0', 16, 'panel "K1", along_y_mm: found 0'),
        ('"along_y_mm": 530', '"along_y_mm": true', 16, 'panel "K1", along_y_mm: found true'),
        ('"panel": "K1"', '"panel": "P1"', 15, 'found "P1"; expected another name. Line 13 has it already'),
        ('"panel": "K1"', '"panel": 1', 15, 'panel 2, panel: found 1; expected a name such as "P1"'),
        ('"kept": true', '"kept": "true"', 16, 'kept: found "true"; expected true or false'),
        (
            '"status": "best found"',
            '"status": "optimal"',
            10,
            'layout, status: found "optimal"; expected one of',
        ),
        ('"watts": 325.0', '"watts": -3', 8, "layout, watts: found -3; expected a number of 0 or more"),
        ('"schema": 1', '"schema": 2', 2, "schema: found 2; expected 1, the only schema there is"),
        ('"seed": 3', '"seed": 3.5', 6, "seed: found 3.5; expected a whole number"),
        ('"tracker": 1', '"tracker": 0', 21, 'string "S1", tracker: found 0; expected a whole number of 1'),
        ('"panels": ["P1"]', '"panels": "P1"', 22, 'string "S1", panels: found "P1" | brackets: ["P1"]'),
        ('"panels": ["P1"]', '"panels": []', 22, 'string "S1", panels: found an empty list'),
        ('"panels": ["P1"],', "", 21, 'string "S1", panels: found nothing; expected a list of panels'),
        ('"unwired": ["K1"]', '"unwired": [7]', 28, "wiring, unwired: found 7; expected a name in quotes"),
        ('"hottest_air_c": 42', '"hottest_air_c": "hot"', 29, 'temperatures, hottest_air_c: found "hot"'),
        (
            '"severity": "caution"',
            '"severity": "grave"',
            32,
            'note 1, severity: found "grave"; expected one of',
        ),
        ('"title": "Delta', '"title": "D", "title": "Delta', 3, "title: found it a second time"),
        (
            '"layout": {',
            '"layuot": {',
            None,
            "layout: found nothing; expected an object with a list of panels",
        ),
        ('"controllers": [', '"controller": [', 19, "wiring, controllers: found nothing"),
    ],
)
def test_what_is_wrong_is_told_with_its_line(
    plan_path: Path, old: str, new: str, line: int | None, message: str
) -> None:
    text = plan_path.read_text()
    assert text.count(old) == 1
    plan_path.write_text(text.replace(old, new))
    (problem,) = _problems(plan_path)
    assert problem.line == line
    for fragment in message.split(" | "):
        assert fragment in str(problem)


@pytest.mark.parametrize(
    ("text", "line", "fragment"),
    [
        ("{\n", 2, "expected JSON"),
        ('{"layout": {\n"watts": 60.0,', 2, "was it cut off?"),
        (
            '{"layout": {\n"panels": [\n{"panel": "P1",}\n]}}',
            3,
            'found "{\\"panel\\": \\"P1\\",}"; expected JSON',
        ),
        ("[1, 2]", 1, "found [1, 2]; expected an object with a layout"),
        ('"plan"', 1, "expected an object with a layout"),
        ("[" * 100_000, None, "beyond all measure"),
        ('{"seed": ' + "9" * 5000 + "}", None, "beyond all measure"),
        ("", None, "found an empty file"),
        ('{"layout": {"panels": {}}}', 1, 'found "panels": {...}; expected "panels": [{...}, ...]'),
        ('{"layout": {"panels": [3]}}', 1, "panel 1: found 3"),
        ('{"layout": [1]}', 1, 'layout: found [1]; expected "layout": {...}'),
    ],
)
def test_texts_that_are_no_plan(plan_path: Path, text: str, line: int | None, fragment: str) -> None:
    plan_path.write_text(text)
    (problem,) = _problems(plan_path)
    assert problem.line == line
    assert fragment in str(problem)


def test_half_a_character_in_a_name_can_be_printed(plan_path: Path) -> None:
    plan_path.write_text(plan_path.read_text().replace('"K1", "facet"', '"K\\ud800", "facet"'))
    (problem,) = _problems(plan_path)
    assert "\\ud800" in str(problem)
    str(problem).encode("utf-8")


def test_missing_plan(plan_path: Path) -> None:
    (problem,) = _problems(plan_path.with_name("plan.jsn"))
    assert (problem.name, problem.hint) == ("plan file", 'Did you mean "plan.json"?')


def test_several_problems_at_once(plan_path: Path) -> None:
    text = (
        plan_path.read_text()
        .replace('"x_mm": 1200', '"x_mm": null')
        .replace('"tracker": 1', '"tracker": "one"')
    )
    plan_path.write_text(text.replace('"code": "kept-unwired", ', ""))
    assert [problem.line for problem in _problems(plan_path)] == [13, 21, 32]
