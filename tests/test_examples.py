"""The examples in roofs/ hold when inspected, and agree with those that outputs/ shows.

The trailer as a user plans it, with all its documents; the others without documents, which take long.
"""

from __future__ import annotations

import json
from pathlib import Path

from front_door import ROOT, SLOW_S, on_its_own, rooflayout

from rooflayout.inspection.inspect import inspect_plan
from rooflayout.inspection.vehicle_limits import passed_limits
from rooflayout.job import Job
from rooflayout.plan import Layout, Plan
from rooflayout.planner import plan_job
from rooflayout.survey.plan_file import read_plan
from rooflayout.survey.read import read_job

PART_S = 8


def job_of(name: str) -> Path:
    return ROOT / "roofs" / f"{name}.toml"


def shown(name: str, job: Job) -> Plan:
    """The plan in the repository."""
    return read_plan(ROOT / "outputs" / name / "plan.json", job)


def is_as_shown(now: Layout, then: Layout) -> bool:
    """In watts, and in being proven; not in its places, for solvers differ."""
    return (now.watts, now.status) == (then.watts, then.status) and now.status == "proven"


def test_the_trailer_by_its_command(tmp_path: Path) -> None:
    name = "ringing-trailer"
    file, out = job_of(name), tmp_path / "out"
    done = on_its_own("plan", file, "--json", "--out", out, "--time-limit", SLOW_S)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout) == json.loads((out / "plan.json").read_text())
    assert rooflayout("inspect", file, out / "plan.json").returncode == 0
    assert rooflayout("inspect", file, ROOT / "outputs" / name / "plan.json").returncode == 0
    job, _ = read_job(file)
    assert is_as_shown(read_plan(out / "plan.json", job).layout, shown(name, job).layout)


def test_the_boat_without_documents() -> None:
    job, notes = read_job(job_of("canal-boat"))
    plan = plan_job(job, notes, time_limit_s=SLOW_S)
    for found in (plan, shown("canal-boat", job)):
        assert [*inspect_plan(job, found), *passed_limits(job, found)] == []
    assert is_as_shown(plan.layout, shown("canal-boat", job).layout)
    assert not plan.errors


def test_the_hut_in_a_part_of_its_time() -> None:
    """Its proof may take a minute; what is known before that agrees with what is shown."""
    job, notes = read_job(job_of("mountain-hut"))
    plan, then = plan_job(job, notes, time_limit_s=PART_S), shown("mountain-hut", job)
    for found in (plan, then):
        assert [*inspect_plan(job, found), *passed_limits(job, found)] == []
    assert then.layout.status == "proven"
    assert 0.9 * then.layout.watts <= plan.layout.watts <= then.layout.watts <= plan.layout.bound_watts
    assert not plan.errors
