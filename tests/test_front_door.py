"""The commands as a user meets them: exit codes, files, what goes to which stream."""

from __future__ import annotations

import csv
import json
import os
from pathlib import Path

import pytest
from front_door import FILES, TRAILER, Planned, on_its_own, rooflayout, shed


@pytest.fixture(scope="module")
def wired_shed(tmp_path_factory: pytest.TempPathFactory) -> Planned:
    """The shed with its wiring, printed as JSON by a process of its own."""
    folder = tmp_path_factory.mktemp("shed")
    job, out = shed(folder, volts=100), folder / "out"
    return Planned(job, out, on_its_own("plan", job, "--json", "--out", out))


def test_plan_writes_the_contracts_files_and_says_the_watts(tmp_path: Path) -> None:
    done = on_its_own("plan", shed(tmp_path), "--out", tmp_path / "out")
    assert done.returncode == 0, done.stderr
    assert {f.name for f in (tmp_path / "out").iterdir()} == FILES
    assert "300 W, proven" in done.stdout
    assert done.stderr == ""


def test_out_defaults_to_outputs_and_the_jobs_name(tmp_path: Path) -> None:
    done = rooflayout("plan", shed(tmp_path), "--quiet", cwd=tmp_path)
    assert done.returncode == 0
    assert done.stdout == ""
    assert (tmp_path / "outputs" / "shed" / "plan.json").exists()


def test_json_is_one_object_and_nothing_else(wired_shed: Planned) -> None:
    plan = json.loads(wired_shed.done.stdout)
    assert (wired_shed.done.returncode, wired_shed.done.stderr) == (0, "")
    assert plan == json.loads((wired_shed.out / "plan.json").read_text())
    assert plan["layout"]["status"] == "proven"
    assert plan["layout"]["watts"] == plan["layout"]["bound_watts"] == 300
    assert plan["wiring"]["unwired"] == []
    wired = [p for s in plan["wiring"]["strings"] for p in s["panels"]]
    assert sorted(wired) == sorted(p["panel"] for p in plan["layout"]["panels"])


def test_the_same_job_gives_the_same_files_for_every_seed_and_number_of_workers(tmp_path: Path) -> None:
    job = shed(tmp_path, length=3500, volts=100)
    seen = []
    runs = ((rooflayout, ()), (on_its_own, ("--seed", "7", "--workers", "1")))
    for name, (run, options) in zip("ab", runs, strict=True):
        assert run("plan", job, "--quiet", "--out", tmp_path / name, *options).returncode == 0
        files = {f: (tmp_path / name / f).read_bytes() for f in FILES - {"plan.json"}}
        plan = json.loads((tmp_path / name / "plan.json").read_text())
        plan["seed"] = plan["layout"]["seconds"] = None
        seen.append((files, plan))
    assert seen[0] == seen[1]


def test_schedules_have_the_contracts_columns(wired_shed: Planned) -> None:
    panels = list(csv.DictReader((wired_shed.out / "panels.csv").open()))
    strings = list(csv.DictReader((wired_shed.out / "strings.csv").open()))
    assert " ".join(panels[0]) == "panel facet model x_mm y_mm along_x_mm along_y_mm turned string"
    columns = "string controller tracker facet model in_series panels voc_cold_v vmp_hot_v isc_a power_w"
    more = "limit_v headroom_v vmp_hot_at_controller_v"
    assert " ".join(strings[0]) == f"{columns} {more}"  # those of the contract first
    assert {p["string"] for p in panels} == {s["string"] for s in strings}


def test_inspect_says_when_the_plan_is_another_jobs(wired_shed: Planned, tmp_path: Path) -> None:
    other = shed(tmp_path, volts=100).rename(tmp_path / "other.toml")
    done = rooflayout("inspect", other, wired_shed.out / "plan.json")
    assert "was made for the job shed.toml" in done.stderr


def test_inspect_says_of_a_broken_plan_that_nothing_was_checked(tmp_path: Path) -> None:
    job = shed(tmp_path)
    (tmp_path / "plan.json").write_text("{")
    done = rooflayout("inspect", job, tmp_path / "plan.json")
    assert done.returncode == 2
    assert "1 problem found; nothing was checked." in done.stderr


def test_inspect_accepts_our_plan_and_lists_breaches(wired_shed: Planned, tmp_path: Path) -> None:
    assert rooflayout("inspect", wired_shed.job, wired_shed.out / "plan.json").returncode == 0
    plan = json.loads((wired_shed.out / "plan.json").read_text())
    plan["layout"]["panels"][0]["x_mm"] += 700
    (tmp_path / "plan.json").write_text(json.dumps(plan))
    done = rooflayout("inspect", wired_shed.job, tmp_path / "plan.json")
    assert done.returncode == 1
    assert "P1" in done.stdout
    assert "breach" in done.stdout


def test_unknown_options_are_usage_errors() -> None:
    assert rooflayout("plan", TRAILER, "--time-limit", "-3").returncode == 2
    assert rooflayout("plan").returncode == 2
    assert rooflayout("paint").returncode == 2


@pytest.mark.skipif(os.name == "nt", reason="no processor time of children there")
def test_help_costs_less_than_three_tenths_of_a_second() -> None:
    import resource

    taken = []
    for _ in range(3):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        on_its_own("--help")
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        taken.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    assert min(taken) < 0.3  # processor time: the clock on the wall also counts what else the machine does
