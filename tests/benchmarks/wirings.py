"""How long wirings take, and how much they slow a plan.

python tests/benchmarks/wirings.py [--count 10000] [--panels 12] [--controllers 3] [--seed 0]
python tests/benchmarks/wirings.py --slowdown [--only NAME ...] [--limit 60] [--fitted 6] [--runs 1]

The first makes random wirings (tests/wiring/random_wirings.py), each inspected and compared with a search
over all counts. The second plans the reference roofs without wiring and with so many controllers fitted
for a 12 V battery, each with two trackers that take whatever lies there, and compares the seconds:
processor time of the plan without its documents, which other work disturbs less than the clock.
"""

from __future__ import annotations

import argparse
import json
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from random import Random
from statistics import median
from typing import Any

HERE = Path(__file__).parent
ROOFS = HERE / "roofs"
GRACE_S = 120.0
SLOWEST = 5
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
HEADS = (
    *("roof", "W", "wired W", "proven", "wired proven"),
    *("cpu s", "wired cpu s", "ratio", "clock s", "wired clock s", "ratio"),
)


def main() -> int:
    options = _options()
    if options.one:
        return one(options.one, options.limit)
    if options.slowdown:
        return slowdown(options.only, options.limit, options.fitted, options.runs)
    return wirings(options.count, options.panels, options.controllers, options.seed)


def wirings(count: int, panels: int, controllers: int, seed: int) -> int:
    """Makes so many wirings with a string; prints faults as they come. 1 when there is any."""
    sys.path.insert(0, str(HERE.parent / "wiring"))
    from exhaustive_wirings import groups_of, most_wired_w
    from random_wirings import breaches, random_case

    from rooflayout.wiring.groups import NotWirable
    from rooflayout.wiring.temperatures import design_temperatures
    from rooflayout.wiring.wire import wire

    took: list[tuple[float, int]] = []
    empty = refused = faults = 0
    begun, number = time.process_time(), seed
    while len(took) < count:
        case = random_case(Random(number), panels, controllers)
        groups = groups_of(case.job, case.panels)
        most_w = most_wired_w(case.job, groups, capped=True)
        most_w = most_wired_w(case.job, groups) if most_w is None else most_w
        wrong: list[str] = []
        start = time.process_time()
        try:
            named, wiring = wire(case.job, design_temperatures(case.job.site), case.panels)
        except NotWirable:
            refused += 1
            wrong += [] if most_w is None else [f"refused, but {most_w:g} W can be wired"]
        else:
            seconds = time.process_time() - start
            wired_w = sum(p.watts for p in named if p.panel not in wiring.unwired)
            if most_w is None or abs(wired_w - most_w) > 1e-6:
                wrong.append(f"{wired_w:g} W wired, {most_w} W can be")
            wrong += breaches(case.job, named, wiring)
            if wiring.strings:
                took.append((seconds, number))
            else:
                empty += 1
        faults += bool(wrong)
        for text in wrong:
            print(f"seed {number}: {text}", flush=True)
        number += 1
    print(f"{len(took)} wirings, {empty} that leave every kept panel off, {refused} refused, {faults} faults")
    print(f"{time.process_time() - begun:.0f} s of processor time in all")
    in_order = sorted(1000 * s for s, _ in took)
    mean = sum(in_order) / len(in_order)
    print(f"one wiring: mean {mean:.1f} ms, median {median(in_order):.1f} ms, ", end="")
    print(f"one in a hundred above {in_order[len(in_order) * 99 // 100]:.0f} ms, most {in_order[-1]:.0f} ms")
    slowest = ", ".join(f"{n} ({1000 * s:.0f} ms)" for s, n in sorted(took, reverse=True)[:SLOWEST])
    print(f"slowest seeds: {slowest}")
    return 1 if faults else 0


def slowdown(only: Sequence[str], limit_s: float, fitted: int, runs: int) -> int:
    """Prints a row a roof, then the middle and the worst ratio. 1 when one of the ratios is too high."""
    roofs = [r for r in sorted(ROOFS.glob("*.toml")) if not only or r.stem in only]
    if not roofs:
        raise SystemExit(f"no roof is called {' or '.join(only)}")
    print("| " + " | ".join(HEADS) + " |\n|" + " --- |" * len(HEADS))
    ratios = []
    with tempfile.TemporaryDirectory() as directory:
        folder = Path(directory)
        shutil.copy(ROOFS / "panels.csv", folder)
        (folder / "boxes.csv").write_text(f"{BOX}\nAlder twin,2,250,200,200,12,0,97\n")
        for roof in roofs:
            plain, wired = folder / roof.name, folder / f"wired-{roof.name}"
            plain.write_text(roof.read_text())
            names = ", ".join(['"Alder twin"'] * fitted)
            wired.write_text(roof.read_text() + WIRED.format(fitted=names))
            pairs = [(_planned(plain, limit_s), _planned(wired, limit_s)) for _ in range(runs)]
            ratios.append(_row(roof.stem, *zip(*pairs, strict=True)))
    worst = max(ratios)
    print(f"processor time with wiring over without: middle {median(ratios):.2f}, worst {worst:.2f}")
    return 1 if worst > MOST_RATIO else 0


def _row(roof: str, plain: Sequence[dict[str, Any]], wired: Sequence[dict[str, Any]]) -> float:
    """Prints a row of the middle figures of all runs; gives the ratio of processor time."""
    cells = [roof, *(f"{of[0]['watts']:g}" for of in (plain, wired)), plain[0]["proven"], wired[0]["proven"]]
    ratios = []
    for name in ("cpu_s", "clock_s"):
        before, after = (median(run[name] for run in of) for of in (plain, wired))
        ratios.append(after / before)
        cells += [f"{before:.1f}", f"{after:.1f}", f"{ratios[-1]:.2f}"]
    print("| " + " | ".join(cells) + " |", flush=True)
    return ratios[0]


def _planned(job: Path, limit_s: float) -> dict[str, Any]:
    """What a process of its own prints: watts, proven or not, processor and clock seconds of the plan."""
    command = [sys.executable, __file__, "--one", str(job), "--limit", f"{limit_s:g}"]
    done = subprocess.run(command, capture_output=True, text=True, timeout=limit_s + GRACE_S)
    if done.returncode != 0:
        raise SystemExit(f"{job.name}: {done.stderr}")
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def one(job_file: str, limit_s: float) -> int:
    """Plans one job, without documents, and prints a line of JSON."""
    from rooflayout.planner import plan_job
    from rooflayout.survey.read import read_job

    job, _ = read_job(Path(job_file))
    cpu_s, clock_s = time.process_time(), time.monotonic()
    layout = plan_job(job, time_limit_s=limit_s).layout
    cpu_s, clock_s = time.process_time() - cpu_s, time.monotonic() - clock_s
    proven = "yes" if layout.status == "proven" else "no"
    print(json.dumps({"watts": layout.watts, "proven": proven, "cpu_s": cpu_s, "clock_s": clock_s}))
    return 0


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--panels", type=int, default=12)
    parser.add_argument("--controllers", type=int, default=3)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--one", help=argparse.SUPPRESS)
    parser.add_argument("--slowdown", action="store_true")
    parser.add_argument("--only", nargs="*", default=[])
    parser.add_argument("--limit", type=float, default=60.0)
    parser.add_argument("--fitted", type=int, default=6)
    parser.add_argument("--runs", type=int, default=1)
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
