"""Published packing instances as jobs: each optimum beside what rooflayout finds and proves.

python tests/benchmarks/published.py [--limit 60] [--only NAME ...] [--set knapsack ...] [--save FILE.json]

Each instance becomes a job file and a catalogue: no spacing, one facet of the bin's size, the value as
watts, the copies as stock, defects as obstacles. instances/ names the source of each.
"""

from __future__ import annotations

import argparse
import csv
import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
SETS = ("knapsack", "knapsack_rotation", "pallet", "perfect", "defects")
GRACE_S = 60.0
MOST_WATTS = 100_000  # of a panel, in a catalogue
COLUMNS = ("model", "length_mm", "width_mm", "power_w", "stock", "turnable")
HEADS = ("instance", "optimum", "ours", "bound", "proven", "seconds", "")

Instance = dict[str, Any]


def main() -> int:
    options = _options()
    chosen = [i for name in options.set for i in read(name) if not options.only or i["name"] in options.only]
    rows, begun = [], time.monotonic()
    print("| " + " | ".join(HEADS) + " |\n|" + " --- |" * len(HEADS))
    for instance in chosen:
        row = {"name": instance["name"], "optimum": instance["optimum"], **run(instance, options.limit)}
        row["remark"] = remark(instance, row)
        rows.append(row)
        print(line(instance, row), flush=True)
        if options.save:
            options.save.write_text(json.dumps(rows, indent=1), encoding="utf-8")
    known = [r for r in rows if r["optimum"] is not None]
    reached = sum(r["watts"] == r["optimum"] for r in known)
    proven = sum(r["proven"] for r in known)
    print(
        f"\n{len(rows)} instances in {(time.monotonic() - begun) / 60:.0f} min. Of {len(known)} whose "
        f"optimum is known {reached} reached, {proven} proven; limit {options.limit:g} s each."
    )
    return 1 if any("WRONG" in r["remark"] for r in rows) else 0


def read(name: str) -> list[Instance]:
    """The instances of one set."""
    found: list[Instance] = json.loads((HERE / "instances" / f"{name}.json").read_text(encoding="utf-8"))
    return found


def write_job(instance: Instance, directory: Path) -> Path:
    """A job file and its catalogue."""
    s = instance["scale_to_mm"]
    with (directory / "panels.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(COLUMNS)
        for n, (w, h, copies, value) in enumerate(instance["items"]):
            turnable = "yes" if instance["rotation"] else "no"
            stock = "" if copies is None else copies
            writer.writerow((f"M{n}", w * s, h * s, value / share(instance), stock, turnable))
    width, height = instance["width"] * s, instance["height"] * s
    text = f'title = "{instance["name"]}"\n\n[spacing]\nbetween_panels = 0\nfrom_edge = 0\n\n[[facet]]\n'
    text += f'name = "bin"\noutline = [[0, 0], [{width}, 0], [{width}, {height}], [0, {height}]]\n\n'
    for n, (x, y, w, h) in enumerate(instance["obstacles"]):
        text += f'[[obstacle]]\nname = "D{n}"\nfacet = "bin"\nkind = "other"\n'
        text += f"at = [{x * s}, {y * s}]\nsize = [{w * s}, {h * s}]\nclearance = 0\n\n"
    job = directory / "job.toml"
    job.write_text(text + '[panels]\ncatalogue = "panels.csv"\n', encoding="utf-8")
    return job


def share(instance: Instance) -> int:
    """What values are divided by where they are more than a panel's watts can be; tenths stay exact."""
    return 10 if max(value for *_, value in instance["items"]) >= MOST_WATTS else 1


def run(instance: Instance, limit_s: float) -> dict[str, Any]:
    """watts, bound_w, proven, seconds of one instance, in a process of its own."""
    with tempfile.TemporaryDirectory() as directory:
        job = write_job(instance, Path(directory))
        command = [sys.executable, str(HERE / "one.py"), "ours", str(job), str(limit_s)]
        try:
            done = subprocess.run(
                command, capture_output=True, text=True, timeout=limit_s + GRACE_S, check=False
            )
        except subprocess.TimeoutExpired:
            return {"watts": None, "bound_w": None, "proven": False, "seconds": None, "breaches": ["no end"]}
    if done.returncode:
        last = (done.stderr.strip() or "no answer").splitlines()[-1]
        return {"watts": None, "bound_w": None, "proven": False, "seconds": None, "breaches": [last]}
    found: dict[str, Any] = json.loads(done.stdout.strip().splitlines()[-1])
    for key in ("watts", "bound_w"):
        found[key] = round(found[key] * share(instance), 6)
    return found


def remark(instance: Instance, row: dict[str, Any]) -> str:
    """What is to be said beside the figures; WRONG where they cannot be."""
    if row["breaches"]:
        return "WRONG: " + "; ".join(row["breaches"])
    optimum = instance["optimum"]
    if optimum is not None and row["bound_w"] < optimum:
        return "WRONG: bound below the optimum"
    if optimum is not None and row["watts"] > optimum:
        return "above the optimum known: look at both"
    if optimum is None:
        return f"open, best known {instance['best_known']}"
    return "" if row["watts"] == optimum else f"short by {optimum - row['watts']:g}"


def line(instance: Instance, row: dict[str, Any]) -> str:
    """One row of the table."""
    cells = [instance["name"], "open" if instance["optimum"] is None else f"{instance['optimum']:g}"]
    for key in ("watts", "bound_w"):
        cells.append("" if row[key] is None else f"{row[key]:g}")
    cells += ["yes" if row["proven"] else "no", "" if row["seconds"] is None else f"{row['seconds']:.1f}"]
    return "| " + " | ".join([*cells, row["remark"]]) + " |"


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--limit", type=float, default=60.0, help="seconds for each [60]")
    parser.add_argument("--only", nargs="+", metavar="NAME", help="only these instances")
    parser.add_argument("--set", nargs="+", choices=SETS, default=SETS, help="only these sets")
    parser.add_argument("--save", type=Path, metavar="FILE.json", help="keep the figures as they come")
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
