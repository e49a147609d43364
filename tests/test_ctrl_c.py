"""Ctrl-C is heard after every solve: a solver that takes the signal for itself gives it back as deadly."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
HEARD = """
import os, signal
from dataclasses import replace
from rooflayout.job import *
from rooflayout.planner import plan_job

signal.signal(signal.SIGINT, lambda number, frame: print("heard"))
reed = PanelModel("Reed 100", 1000, 500, 100.0, voc_v=24.0, vmp_v=20.0, isc_a=5.3, imp_a=5.0)
rush = ControllerModel(
    "Rush 20", 100.0, 20.0, 20.0, (12.0,), 1, 5.0, 97.0, length_mm=100.0, width_mm=80.0, height_mm=40.0
)
job = Job(
    "x",
    (Facet("main", ((0.0, 0.0), (2100.0, 0.0), (2100.0, 1100.0), (0.0, 1100.0))),),
    PanelRules((reed,)),
    battery=Battery(12.0, 14.4),
    controllers=Controllers((rush,), (rush, rush)),
    mounting_space=MountingSpace(500.0, 400.0, 100.0, 20.0),
)
plan = plan_job(job, time_limit_s=20)
assert plan.wiring.strings and plan.wiring.mounted
os.kill(os.getpid(), signal.SIGINT)
print("alive")
"""
SHED = """
title = "Shed"
[[facet]]
name = "top"
outline = [[0, 0], [2010, 0], [2010, 1000], [0, 1000]]
[panels]
catalogue = "panels.csv"
[battery]
nominal = 12
[controllers]
catalogue = "controllers.csv"
fitted = ["Small"]
"""


@pytest.mark.skipif(os.name == "nt", reason="signals are sent otherwise there")
def test_ctrl_c_while_modules_are_fetched_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "numpy.py").write_text("print('fetching', flush=True)\nimport time\ntime.sleep(20)\n")
    (tmp_path / "job.toml").write_text("[[facet]]\noutline = [[0, 0], [900, 0], [900, 900]]\n[panels]\n")
    (tmp_path / "p.csv").write_text("model,length_mm,width_mm,power_w\nReed 100,500,400,100\n")
    (tmp_path / "job.toml").open("a").write('catalogue = "p.csv"\n')
    running = subprocess.Popen(
        [sys.executable, "-m", "rooflayout.cli", "plan", "job.toml"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": f"{tmp_path}{os.pathsep}{ROOT}"},
    )
    assert running.stdout is not None
    assert running.stdout.readline() == "fetching\n"
    running.send_signal(signal.SIGINT)
    _, err = running.communicate(timeout=60)
    assert (running.returncode, err.strip()) == (130, "Stopped.")


@pytest.mark.skipif(os.name == "nt", reason="signals are sent otherwise there")
def test_after_wiring_and_mounting_the_signal_is_still_ours() -> None:
    done = subprocess.run(
        [sys.executable, "-c", HEARD], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert (done.returncode, done.stdout.split()) == (0, ["heard", "alive"]), done.stderr


@pytest.mark.skipif(os.name == "nt", reason="signals are sent otherwise there")
def test_ctrl_c_while_the_sheets_are_drawn_leaves_all_files(tmp_path: Path) -> None:
    (tmp_path / "panels.csv").write_text(
        "model,length_mm,width_mm,power_w,voc_v,vmp_v,isc_a,imp_a\nReed 100,1000,500,100,24,20,5.3,5\n"
    )
    (tmp_path / "controllers.csv").write_text(
        "model,max_pv_v,max_pv_isc_a,max_charge_a,battery_v\nSmall,100,20,20,12 24\n"
    )
    (tmp_path / "job.toml").write_text(SHED)
    # The documents wait until the signal has come.
    code = (
        "import sys, rooflayout.documents.write as w\n"
        "from rooflayout.commands import run_plan\n"
        "from pathlib import Path\n"
        "import time\n"
        "write = w.write_documents\n"
        "def slow(job, plan, directory):\n"
        "    print('drawing', flush=True)\n"
        "    for _ in range(10):\n"
        "        time.sleep(0.1)\n"
        "    return write(job, plan, directory)\n"
        "w.write_documents = slow\n"
        "sys.exit(run_plan(Path('job.toml'), Path('out'), 20.0, 0, 1, False, True))\n"
    )
    running = subprocess.Popen(
        [sys.executable, "-c", code],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert running.stdout is not None
    assert running.stdout.readline() == "drawing\n"
    time.sleep(0.3)
    running.send_signal(signal.SIGINT)
    _, err = running.communicate(timeout=60)
    assert running.returncode == 0, err  # the layout was proven before
    assert (tmp_path / "out" / "plan.json").exists()


WHILE_LOADING = """
import importlib.abc, os, signal, sys

class Pressed(importlib.abc.MetaPathFinder):
    def find_spec(self, name, path, target=None):
        if name == MODULE:
            os.kill(os.getpid(), signal.SIGINT)

sys.meta_path.insert(0, Pressed())
from rooflayout.start import main
main()
"""


@pytest.mark.skipif(os.name == "nt", reason="signals are sent otherwise there")
@pytest.mark.parametrize("module", ["typer", "rooflayout.commands"])
def test_ctrl_c_while_the_command_is_loaded_is_one_line(module: str, tmp_path: Path) -> None:
    text = WHILE_LOADING.replace("MODULE", repr(module))
    command = [
        sys.executable,
        "-c",
        text,
        "plan",
        str(ROOT / "tests" / "hard-roof.toml"),
        "--out",
        str(tmp_path),
    ]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 130
    assert done.stderr.strip() == "Stopped."
    assert done.stdout == ""
