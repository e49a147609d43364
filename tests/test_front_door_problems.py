"""What the commands say of jobs that are wrong, cannot be planned or cannot be built."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from front_door import FILES, Planned, far_shed, rooflayout, shed, undrawn


@pytest.fixture(autouse=True, scope="module")
def _sheets_are_not_in_question() -> Iterator[None]:
    with undrawn():
        yield


@pytest.fixture(scope="module")
def unserved(tmp_path_factory: pytest.TempPathFactory) -> Planned:
    """The shed with a battery so far off that no size serves, planned without a word."""
    folder = tmp_path_factory.mktemp("far")
    job, out = far_shed(folder, battery=90_000), folder / "out"
    return Planned(job, out, rooflayout("plan", job, "--quiet", "--out", out))


def test_a_bad_job_lists_its_problems_and_writes_nothing(tmp_path: Path) -> None:
    job = shed(tmp_path)
    job.write_text(
        job.read_text().replace("between_panels = 10", "between_panel = -10").replace("panels.csv", "p.csv")
    )
    done = rooflayout("plan", job, "--out", tmp_path / "out")
    assert done.returncode == 2
    assert done.stdout == ""
    assert "shed.toml:4" in done.stderr
    assert "between_panels" in done.stderr
    assert "p.csv" in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()


def test_what_is_likely_wrong_too_is_told_beside_the_problems(tmp_path: Path) -> None:
    job = shed(tmp_path)
    text = job.read_text().replace("between_panels = 10", "between_panel = 10")
    past = '[[obstacle]]\nname = "pipe"\nkind = "chimney"\ncentre = [0, 0]\ndiameter = 100\n\n[panels]'
    job.write_text(text.replace("[panels]", past, 1))
    done = rooflayout("plan", job, "--out", tmp_path / "out")
    assert done.returncode == 2
    *problems, warning, last = done.stderr.splitlines()
    assert len(problems) == 1
    assert warning.startswith('Warning: obstacle "pipe" (shed.toml:11) reaches past the outline')
    assert last == "1 problem found; nothing was written."


def test_nothing_fits_says_why(tmp_path: Path) -> None:
    done = rooflayout("plan", shed(tmp_path, length=450), "--out", tmp_path / "out")
    assert done.returncode == 1
    assert "Reed 100" in done.stdout
    assert done.stdout.count("not even the smallest") + done.stderr.count("not even the smallest") == 1
    quiet = rooflayout("plan", tmp_path / "shed.toml", "--quiet", "--out", tmp_path / "out")
    assert "Reed 100" in quiet.stderr


def test_nothing_wireable_says_which_limit_by_how_much(tmp_path: Path) -> None:
    done = rooflayout("plan", shed(tmp_path, volts=20), "--out", tmp_path / "out")
    assert done.returncode == 1
    assert "Small" in done.stdout
    assert "20 V" in done.stdout
    cold = 24 * 1.14  # NEC 690.7(A) at -10 °C, from memory: the catalogue gives no coefficient
    assert f"{cold:.1f}" in done.stdout


def test_a_folder_that_cannot_be_is_named_before_the_search(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    done = rooflayout("plan", shed(tmp_path), "--out", tmp_path / "out")
    assert done.returncode == 2
    assert "is a file" in done.stderr


def test_a_folder_that_cannot_be_made_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("")
    done = rooflayout("plan", shed(tmp_path), "--out", tmp_path / "taken")
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1


@pytest.mark.parametrize("option", [None, "--json"])
def test_a_plan_that_cannot_be_written_is_shown_all_the_same(tmp_path: Path, option: str | None) -> None:
    (tmp_path / "out" / "plan.json").mkdir(parents=True)  # as a file that a viewer holds open on Windows
    options = [] if option is None else [option]
    done = rooflayout("plan", shed(tmp_path), "--out", tmp_path / "out", *options)
    assert done.returncode == 2
    assert "cannot write" in done.stderr
    assert "the plan is shown" in done.stderr
    assert "300" in done.stdout
    assert list((tmp_path / "out").iterdir()) == [tmp_path / "out" / "plan.json"]
    assert str(tmp_path / "out") not in done.stdout


def test_a_run_that_no_size_serves_is_an_error_and_the_plan_is_written(tmp_path: Path) -> None:
    job = far_shed(tmp_path, roof=200_000, battery=90_000)
    job.write_text(job.read_text() + "most_drop_pct = 1\n")
    done = rooflayout("plan", job, "--out", tmp_path / "out")
    assert done.returncode == 1
    assert {f.name for f in (tmp_path / "out").iterdir()} >= FILES
    told = " ".join(done.stdout.split())
    plan = json.loads((tmp_path / "out" / "plan.json").read_text())
    unserved = [r for r in plan["wiring"]["runs"] if r["size_mm2"] is None and r["size_awg"] is None]
    assert len(unserved) >= 2
    for run in unserved:
        assert f"Error {run['run']}, from {run['from']} to {run['to']}: no standard size serves" in told
    assert "(1.5 to 95 mm² and 18 to 4/0 AWG tried): 95 mm² drops" in told
    assert "1.00 % allowed; 95 mm² would do for" in told
    assert "% may be lost" in told
    count = f"{len(unserved)} errors: the plan is written, but it is not to be built as it stands.\n"
    assert done.stderr == count
    severities = [n["severity"] for n in plan["notes"]]
    assert severities[: len(unserved) + 1].count("error") == severities.count("error") == len(unserved)


@pytest.mark.parametrize("option", ["--json", "--quiet"])
def test_errors_are_named_where_nothing_or_only_json_is_printed(unserved: Planned, option: str) -> None:
    done = unserved.done
    if option == "--json":
        done = rooflayout("plan", unserved.job, option, "--out", unserved.job.parent / "printed")
    assert done.returncode == 1
    error, count = done.stderr.splitlines()
    assert error.startswith("Error: R")
    assert "to battery: no standard size serves" in error
    assert count == "1 error: the plan is written, but it is not to be built as it stands."
    if option == "--json":
        assert json.loads(done.stdout)["notes"][0]["severity"] == "error"


def test_a_plan_with_errors_can_be_inspected_and_runs_that_are_served_are_none(
    unserved: Planned, tmp_path: Path
) -> None:
    assert rooflayout("inspect", unserved.job, unserved.out / "plan.json").returncode != 2
    done = rooflayout("plan", far_shed(tmp_path), "--out", tmp_path / "near")
    assert (done.returncode, done.stderr) == (0, "")
    assert "Error" not in done.stdout
