"""Wired roofs of ten models whose few controllers bind: watts, bound, proof, seconds; and of fewer models.

python tests/benchmarks/wired.py [--limit 60] [--only 6.4m] [--sets 3 --set-limit 2]

With --sets each roof is planned again with every choice of so many of its models alone, and the best of
these is shown: leaving out models must not give more watts than all of them.
"""

from __future__ import annotations

import argparse
import csv
import json
import subprocess
import sys
import tempfile
import time
from itertools import combinations
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
ROOFS = HERE / "wired"
GRACE_S = 120.0  # for all but the search
HEADS = ("roof", "watts", "bound", "proven", "search s", "in all s")


def main() -> int:
    options = _options()
    print("| " + " | ".join(HEADS) + " |\n|" + " --- |" * len(HEADS))
    worse = False
    for name in options.only or sorted(path.stem for path in ROOFS.glob("*.toml")):
        ours = planned(ROOFS / f"{name}.toml", options.limit)
        print(_line(name, ours), flush=True)
        if options.sets:
            watts, models = best_of_sets(name, options.sets, options.set_limit)
            print(f"of {options.sets} models alone at most {watts:g} W: {', '.join(models)}", flush=True)
            worse |= watts > ours["watts"]
    return 1 if worse else 0


def best_of_sets(name: str, size: int, limit_s: float) -> tuple[float, tuple[str, ...]]:
    """The most watts that so many models alone came to, and which; each choice has so many seconds."""
    with (ROOFS / "panels.csv").open(encoding="utf-8") as file:
        models = [row["model"] for row in csv.DictReader(file)]
    text = (ROOFS / f"{name}.toml").read_text(encoding="utf-8")
    text = text.replace('catalogue = "', f'catalogue = "{ROOFS.as_posix()}/')
    best: tuple[float, tuple[str, ...]] = (0.0, ())
    with tempfile.TemporaryDirectory() as directory:
        job = Path(directory) / "job.toml"
        for chosen in combinations(models, size):
            use = ", ".join(f'"{model}"' for model in chosen)
            job.write_text(f"{text}use = [{use}]\n", encoding="utf-8")
            best = max(best, (planned(job, limit_s)["watts"], chosen))
    return best


def planned(job: Path, limit_s: float) -> dict[str, Any]:
    """The plan's layout by the command, which inspects it, and how long that took in all."""
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as out:
        command = [sys.executable, "-m", "rooflayout", "plan", str(job), "--json", "--out", out]
        command += ["--time-limit", f"{limit_s:g}"]
        done = subprocess.run(command, capture_output=True, text=True, timeout=limit_s + GRACE_S, check=True)
    layout: dict[str, Any] = json.loads(done.stdout)["layout"]
    return layout | {"in_all_s": time.monotonic() - begun}


def _line(name: str, ours: dict[str, Any]) -> str:
    cells = [name, f"{ours['watts']:g}", f"{ours['bound_watts']:g}"]
    cells += ["yes" if ours["status"] == "proven" else "no", f"{ours['seconds']:.1f}"]
    return "| " + " | ".join([*cells, f"{ours['in_all_s']:.1f}"]) + " |"


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--limit", type=float, default=60.0, help="seconds for each [60]")
    parser.add_argument("--only", nargs="+", help="names of roofs")
    parser.add_argument("--sets", type=int, default=0, help="models alone, every choice of so many [none]")
    parser.add_argument("--set-limit", type=float, default=2.0, help="seconds for each choice [2]")
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
