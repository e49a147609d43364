"""Cables, readings, mismatch, mounting and portable panels of a plan.json are read back."""

from __future__ import annotations

import dataclasses
import json
import math
from pathlib import Path
from typing import Any

import pytest

from rooflayout.plan import CableRun, MeterReading, Mismatch, MountedBox, PortableString
from rooflayout.survey.plan_file import read_plan
from rooflayout.survey.problems import ProblemsFound
from rooflayout.survey.read import read_job

RUN = {"run": "R1", "kind": "string", "from": "S1", "to": "C1 tracker 1"}
FIGURES = {
    "current_a": 13.25, "length_mm": 7000, "estimated": True, "size_mm2": 4.0, "size_awg": "10",
    "carries_a": 36.5, "drop_v": 0.64, "drop_pct": 2.1, "carries_awg_a": 40.5, "drop_awg_v": 0.7,
    "drop_awg_pct": 2.3, "fuse_a": None, "isolator": True, "why": "drop",
}  # fmt: skip
READING = {
    "string": "S1", "irradiance_w_m2": 800.0, "cell_c": 45.0, "voc_v": 22.6, "voc_low_v": 21.5,
    "voc_high_v": 23.7, "isc_a": 8.5, "isc_low_a": 8.0, "isc_high_a": 9.0,
}  # fmt: skip
MISMATCH = {"controller": "C1", "tracker": 1, "strings": ["S1", "S2"], "loss_pct": 1.25}
BOX = {"controller": "C1", "x_mm": 50, "y_mm": 60, "along_x_mm": 180, "along_y_mm": 250}
PORTABLE = {
    "name": "folding pair", "model": "Heron 110", "into": "Tender 25", "own_controller": False,
    "in_series": 2, "in_parallel": 1, "voc_cold_v": 51.0, "vmp_hot_v": 31.0, "isc_a": 6.0, "power_w": 230.0,
    "charge_a": 15.3, "clipped_w": 0.0,
}  # fmt: skip


@pytest.fixture
def plan_path(good: Path) -> Path:
    return good.with_name("plan.json")


def _read(path: Path, **wiring: Any) -> Any:
    values = json.loads(path.read_text())
    values["wiring"] |= wiring
    path.write_text(json.dumps(values, indent=1))
    return read_plan(path, read_job(path.with_name("wired.toml"))[0]).wiring


def _said(path: Path, **wiring: Any) -> list[str]:
    with pytest.raises(ProblemsFound) as caught:
        _read(path, **wiring)
    return [str(problem) for problem in caught.value.problems]


def test_all_is_read_as_written(plan_path: Path) -> None:
    wiring = _read(
        plan_path, because=[{"controller": "C1", "text": "One panel alone."}], runs=[RUN | FIGURES],
        readings=[READING], mismatch=[MISMATCH], mounted=[BOX], portable=[PORTABLE],
        portable_readings=[READING | {"string": "folding pair"}],
    )  # fmt: skip
    assert wiring.because == (("C1", "One panel alone."),)
    assert wiring.runs == (
        CableRun(
            "R1", "string", "S1", "C1 tracker 1", 13.25, 7000.0, True, 4.0, "10", 36.5, 0.64, 2.1, None, True,
            "drop", 40.5, 0.7, 2.3,
        ),
    )  # fmt: skip
    assert wiring.readings == (MeterReading("S1", 800.0, 45.0, 22.6, 8.5, 21.5, 23.7, 8.0, 9.0),)
    assert wiring.portable_readings == (
        MeterReading("folding pair", 800.0, 45.0, 22.6, 8.5, 21.5, 23.7, 8.0, 9.0),
    )
    assert wiring.mismatch == (Mismatch("C1", 1, ("S1", "S2"), 1.25),)
    assert wiring.mounted == (MountedBox("C1", 50.0, 60.0, 180.0, 250.0),)
    assert wiring.portable == (
        PortableString(
            "folding pair", "Heron 110", "Tender 25", False, 2, 1, 51.0, 31.0, 6.0, 230.0, 15.3, 0.0
        ),
    )


def test_what_is_absent_or_null_is_empty(plan_path: Path) -> None:
    for absent in (
        {},
        dict.fromkeys(
            ("because", "runs", "readings", "mismatch", "mounted", "portable", "portable_readings")
        ),
    ):
        wiring = _read(plan_path, **absent)
        assert (wiring.because, wiring.runs, wiring.readings, wiring.mismatch, wiring.portable) == ((),) * 5
        assert (wiring.mounted, wiring.portable_readings) == (None, ())
    assert _read(plan_path, mounted=[]).mounted == ()


def test_names_alone_will_do(plan_path: Path) -> None:
    """A figure that is not written is NaN; what a portable panel plugs into is the job's."""
    wiring = _read(
        plan_path,
        runs=[RUN],
        readings=[{"string": "S1"}],
        mismatch=[{k: MISMATCH[k] for k in ("controller", "tracker", "strings")}],
        portable=[{k: PORTABLE[k] for k in ("name", "model", "in_series", "in_parallel")}],
    )
    (run,) = wiring.runs
    assert math.isnan(run.current_a)
    assert math.isnan(run.length_mm)
    assert (run.size_mm2, run.size_awg, run.fuse_a, run.isolator, run.why) == (None, None, None, False, "")
    (reading,) = wiring.readings
    assert all(math.isnan(v) for k, v in dataclasses.asdict(reading).items() if k != "string")
    assert math.isnan(wiring.mismatch[0].loss_pct)
    (own,) = wiring.portable
    assert (own.into, own.own_controller) == ("Tender 25", False)
    assert math.isnan(own.charge_a)


@pytest.mark.parametrize(
    ("key", "entry", "changes", "said"),
    [
        ("because", {"controller": "C1"}, {}, "reason 1, text: found nothing"),
        ("runs", RUN, {"run": None}, 'run 1, run: found nothing; expected a name such as "R1"'),
        ("runs", RUN, {"kind": "cable"}, 'run "R1", kind: found "cable"; expected one of string, array'),
        ("runs", RUN, {"to": None}, 'run "R1", to: found nothing; expected what it ends at'),
        ("runs", RUN, {"length_mm": -7}, 'run "R1", length_mm: found -7'),
        ("runs", RUN, {"size_mm2": 0}, 'run "R1", size_mm2: found 0; expected mm² above 0'),
        ("runs", RUN, {"size_awg": 10}, 'run "R1", size_awg: found 10 | Text stands in quotes: "10"'),
        ("runs", RUN, {"isolator": "yes"}, 'run "R1", isolator: found "yes"; expected true or false'),
        ("readings", READING, {"string": 1}, 'reading 1, string: found 1; expected a name such as "S1"'),
        ("portable_readings", READING, {"voc_v": "22 V"}, "reading of portable panels 1, voc_v: found"),
        ("readings", READING, {"voc_v": "22 V"}, 'reading 1, voc_v: found "22 V"; expected a finite number'),
        ("mismatch", MISMATCH, {"strings": None}, "mismatch 1, strings: found nothing; expected a list"),
        ("mismatch", MISMATCH, {"strings": "S1"}, 'mismatch 1, strings: found "S1" | brackets: ["S1"]'),
        ("mismatch", MISMATCH, {"tracker": 0}, "mismatch 1, tracker: found 0; expected a whole number of 1"),
        ("mounted", BOX, {"x_mm": None}, "mounted box 1, x_mm: found nothing"),
        ("mounted", BOX, {"along_y_mm": 0}, "mounted box 1, along_y_mm: found 0"),
        ("portable", PORTABLE, {"in_series": 1.5}, 'portable panel "folding pair", in_series: found 1.5'),
        ("portable", PORTABLE, {"in_parallel": None}, 'portable panel "folding pair", in_parallel: found no'),
        ("portable", PORTABLE, {"model": None}, 'portable panel "folding pair", model: found nothing'),
        ("portable", PORTABLE, {"charge_a": "15"}, 'portable panel "folding pair", charge_a: found "15"'),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told(
    plan_path: Path, key: str, entry: dict[str, Any], changes: dict[str, Any], said: str
) -> None:
    (text,) = _said(plan_path, **{key: [entry | changes]})
    assert text.startswith(f"{plan_path}:")
    for fragment in said.split(" | "):
        assert fragment in text


@pytest.mark.parametrize(
    ("key", "entry", "name"),
    [("runs", RUN, "R1"), ("readings", READING, "S1"), ("portable", PORTABLE, "folding pair")],
)
def test_a_name_twice_is_told(plan_path: Path, key: str, entry: dict[str, Any], name: str) -> None:
    (text,) = _said(plan_path, **{key: [entry, entry]})
    assert f'found "{name}"; expected another name. Line ' in text


def test_a_table_where_a_list_belongs_is_told(plan_path: Path) -> None:
    (text,) = _said(plan_path, runs=RUN)
    assert 'found "runs": {...}; expected "runs": [{...}, ...]' in text
