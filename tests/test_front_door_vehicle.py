"""Energy and masses from the commands, and limits of the vehicle that are passed."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from front_door import FILES, PANELS, rooflayout, shed, undrawn

SUNNY = """
[[load]]
name = "lamp"
watts = 10
hours = 6
[vehicle]
kind = "trailer"
axle_x = 200
coupling_x = 2500
mass = 600
most_mass = 750
"""

VEHICLE = '[vehicle]\nkind = "trailer"\nmass = 700\nmost_mass = {most}\n'


@pytest.fixture(autouse=True, scope="module")
def _sheets_are_not_in_question() -> Iterator[None]:
    with undrawn():
        yield


def heavy_shed(folder: Path, most_kg: float) -> Path:
    """Three panels of 6 kg and their mounts of 1.5 on a vehicle of 700 kg."""
    job = shed(folder)
    (folder / "panels.csv").write_text(PANELS.replace("imp_a\n", "imp_a,mass_kg\n").replace(",5\n", ",5,6\n"))
    job.write_text(job.read_text() + VEHICLE.format(most=most_kg))
    return job


def test_energy_and_masses_are_written_told_and_hold_when_read_back(tmp_path: Path) -> None:
    job = shed(tmp_path, volts=100)
    text = job.read_text().replace("[site]", "[site]\nlatitude = 41\nlongitude = 1")
    job.write_text(text.replace("charge = 14.4", "charge = 14.4\ncapacity = 100") + SUNNY)
    panels = (tmp_path / "panels.csv").read_text().splitlines()
    (tmp_path / "panels.csv").write_text("\n".join([panels[0] + ",mass_kg", panels[1] + ",6"]) + "\n")
    done = rooflayout("plan", job, "--out", tmp_path / "out")
    assert done.returncode == 0, done.stderr
    assert {f.name for f in (tmp_path / "out").iterdir()} >= FILES | {"months.csv", "energy.pdf"}
    plan = json.loads((tmp_path / "out" / "plan.json").read_text())
    months = list(csv.DictReader((tmp_path / "out" / "months.csv").open()))
    assert [float(m["demand_wh_day"]) for m in months] == [60.0] * 12
    assert f"about {plan['energy']['wh_year'] / 1000:.0f} kWh a year" in done.stdout
    assert f"{plan['balance']['added_kg']:.1f} kg are added" in done.stdout
    plan_file = tmp_path / "out" / "plan.json"
    held = rooflayout("inspect", job, plan_file)
    assert held.returncode == 0, held.stdout + held.stderr
    plan["balance"]["added_kg"] += 5
    plan_file.write_text(json.dumps(plan))
    broken = rooflayout("inspect", job, plan_file)
    assert broken.returncode == 1
    assert "mass-sum" in broken.stdout
    plan["energy"]["wh_year"] = "a lot"
    plan_file.write_text(json.dumps(plan, indent=1))
    wrong = rooflayout("inspect", job, plan_file)
    assert wrong.returncode == 2
    assert 'energy, wh_year: found "a lot"' in wrong.stderr
    assert "Traceback" not in wrong.stderr


def test_a_limit_of_the_vehicle_that_is_passed_has_its_own_exit_code(tmp_path: Path) -> None:
    """Three panels of 7.5 kg: 722.5 kg. At the limit all is well; half a kg below it is not."""
    job = heavy_shed(tmp_path, 722.5)
    done = rooflayout("plan", job, "--out", tmp_path / "out")
    assert done.returncode == 0, done.stderr
    assert "OVER A LIMIT" not in done.stdout + done.stderr
    job = heavy_shed(tmp_path, 722.0)
    done = rooflayout("plan", job, "--out", tmp_path / "out")
    assert done.returncode == 3
    assert {f.name for f in (tmp_path / "out").iterdir()} >= {"layout.pdf", "energy.pdf", "plan.json"}
    head = " ".join(done.stdout.split())
    assert head.count("OVER A LIMIT: The vehicle would weigh 722.5 kg") == 1
    assert head.index("OVER A LIMIT") < head.index("panels model facet")
    assert done.stderr.strip().endswith(
        "OVER A LIMIT: 1 limit of vehicle or roof passed; the plan is written, not to be built like this."
    )
    quiet = rooflayout("plan", job, "--out", tmp_path / "out", "--quiet")
    assert quiet.returncode == 3
    assert "OVER A LIMIT: The vehicle would weigh 722.5 kg" in quiet.stderr
    checked = rooflayout("inspect", job, tmp_path / "out" / "plan.json")
    assert checked.returncode == 1
    assert "vehicle: 722.5 kg after the work; at most 722 kg [over-limit]" in checked.stdout
