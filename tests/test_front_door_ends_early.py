"""The starter job from the commands, and a search that ends early: no time, or Ctrl-C."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from front_door import ROOT, rooflayout, undrawn


@pytest.fixture(autouse=True, scope="module")
def _sheets_are_not_in_question() -> Iterator[None]:
    with undrawn():
        yield


def test_a_tenth_of_a_second_is_enough_for_a_first_layout(tmp_path: Path) -> None:
    hard = ROOT / "tests" / "hard-roof.toml"
    done = rooflayout("plan", hard, "--time-limit", "0.1", "--out", tmp_path / "out")
    assert done.returncode == 0
    layout = json.loads((tmp_path / "out" / "plan.json").read_text())["layout"]
    assert layout["status"] == "best found"
    assert 0 < layout["watts"] < layout["bound_watts"]


def test_new_writes_a_job_that_plans(tmp_path: Path) -> None:
    made = rooflayout("new", tmp_path / "van.toml")
    assert made.returncode == 0, made.stderr
    again = rooflayout("new", tmp_path / "van.toml")
    assert again.returncode == 2
    assert "Traceback" not in again.stderr
    done = rooflayout("plan", tmp_path / "van.toml", "--time-limit", "3", "--out", tmp_path / "out")
    assert done.returncode == 0, done.stderr


@pytest.mark.skipif(os.name == "nt", reason="signals are sent otherwise there")
def test_ctrl_c_keeps_the_best_and_marks_it(tmp_path: Path) -> None:
    job = ROOT / "tests" / "hard-roof.toml"
    command = [sys.executable, "-m", "rooflayout.cli", "plan", str(job), "--out", str(tmp_path)]
    running = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    time.sleep(6)
    running.send_signal(signal.SIGINT)
    out, err = running.communicate(timeout=60)
    assert running.returncode == 130, (out, err)
    plan = json.loads((tmp_path / "plan.json").read_text())
    assert plan["layout"]["status"] == "best found"
    assert plan["layout"]["bound_watts"] >= plan["layout"]["watts"]
    assert "not proven" in err
