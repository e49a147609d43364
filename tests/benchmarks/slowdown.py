"""How much wiring slows a plan: the reference roofs without and with it.

python tests/benchmarks/slowdown.py [--only NAME ...] [--limit 60] [--fitted 6] [--runs 3]

With wiring there are so many controllers for a 12 V battery, each with two trackers that take whatever
lies there. Two figures of each roof, both from one process that runs the command `rooflayout plan --json`
with the writing of documents left out:
- the command: the process from its start to its end, clock and processor seconds (of all its threads);
- the planner: the call of plan_job alone, without the start of Python and the libraries that any plan needs.
Runs without and with wiring take turns; the least of all runs counts, as other work only ever adds to it.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from statistics import median

HERE = Path(__file__).parent
ROOFS = HERE / "roofs"
MOST_RATIO = 1.2  # the aim: wiring slows no plan by more than a fifth
BOX = "model,trackers,max_pv_v,max_pv_isc_a,max_charge_a,battery_v,start_above_battery_v,efficiency_pct"
WIRED = """
[site]
coldest = -10
hottest = 30

[battery]
nominal = 12
charge = 14.4

[controllers]
catalogue = "boxes.csv"
fitted = [{fitted}]
"""
# What the child runs. The planner's own seconds go to standard error.
COMMAND = """
import json, sys, time
from rooflayout import planner
from rooflayout.cli import app
from rooflayout.documents import write

plan_job = planner.plan_job

def timed(*given, **named):
    cpu_s, clock_s = time.process_time(), time.monotonic()
    plan = plan_job(*given, **named)
    seconds = time.process_time() - cpu_s, time.monotonic() - clock_s
    print(json.dumps(seconds), file=sys.stderr)
    return plan

planner.plan_job = timed
write.write_documents = lambda job, plan, directory: []
app(["plan", "--json", *sys.argv[1:]])
"""
FIGURES = ("command clock s", "command cpu s", "planner clock s", "planner cpu s")
HEADS = ("roof", "W", "wired W", *(h for figure in FIGURES for h in (figure, "wired", "ratio")))

Run = tuple[float, bool, tuple[float, ...]]  # watts, proven or not, seconds in the order of FIGURES


def main() -> int:
    """Prints a row a roof, then the middle and the worst ratios. 1 when a command's ratio is too high."""
    options = _options()
    roofs = [r for r in sorted(ROOFS.glob("*.toml")) if not options.only or r.stem in options.only]
    if not roofs:
        raise SystemExit(f"no roof is called {' or '.join(options.only)}")
    print("| " + " | ".join(HEADS) + " |\n|" + " --- |" * len(HEADS))
    ratios = []
    with tempfile.TemporaryDirectory() as directory:
        folder = Path(directory)
        shutil.copy(ROOFS / "panels.csv", folder)
        (folder / "boxes.csv").write_text(f"{BOX}\nAlder twin,2,250,200,200,12,0,97\n")
        for roof in roofs:
            plain, wired = folder / roof.name, folder / f"wired-{roof.name}"
            plain.write_text(roof.read_text())
            names = ", ".join(['"Alder twin"'] * options.fitted)
            wired.write_text(roof.read_text() + WIRED.format(fitted=names))
            pairs = range(max(1, options.runs))
            runs = [(_planned(plain, options.limit), _planned(wired, options.limit)) for _ in pairs]
            ratios.append(_row(roof.stem, *zip(*runs, strict=True)))
    for name, of in zip(FIGURES, zip(*ratios, strict=True), strict=True):
        print(f"{name}, with wiring over without: middle {median(of):.2f}, worst {max(of):.2f}")
    return 1 if max(max(of[:2]) for of in ratios) > MOST_RATIO else 0


def _row(roof: str, plain: Sequence[Run], wired: Sequence[Run]) -> tuple[float, ...]:
    """Prints a row of the least figures of all runs; gives the ratios, in the order of FIGURES."""
    cells = [roof, *(f"{of[0][0]:g}{'' if of[0][1] else ' not proven'}" for of in (plain, wired))]
    ratios = []
    for number in range(len(FIGURES)):
        before, after = (min(run[2][number] for run in of) for of in (plain, wired))
        ratios.append(after / before)
        cells += [f"{before:.2f}", f"{after:.2f}", f"{ratios[-1]:.2f}"]
    print("| " + " | ".join(cells) + " |", flush=True)
    return tuple(ratios)


def _planned(job: Path, limit_s: float) -> Run:
    """The command in a process of its own: what it found, and how long it and its planner took."""
    out = str(job.parent / "out")
    command = [sys.executable, "-c", COMMAND, str(job), "--time-limit", f"{limit_s:g}", "--out", out]
    said, told = job.parent / "said.json", job.parent / "told.txt"
    with said.open("w") as to_said, told.open("w") as to_told:
        begun = time.monotonic()
        child = subprocess.Popen(command, stdout=to_said, stderr=to_told)
        _, status, used = os.wait4(child.pid, 0)
        clock_s = time.monotonic() - begun
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode != 0:
        raise SystemExit(f"{job.name}: {told.read_text()}")
    planner_cpu_s, planner_clock_s = json.loads(told.read_text().splitlines()[-1])
    layout = json.loads(said.read_text())["layout"]
    seconds = clock_s, used.ru_utime + used.ru_stime, planner_clock_s, planner_cpu_s
    return layout["watts"], layout["status"] == "proven", seconds


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--only", nargs="*", default=[])
    parser.add_argument("--limit", type=float, default=60.0)
    parser.add_argument("--fitted", type=int, default=6)
    parser.add_argument("--runs", type=int, default=3)
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
