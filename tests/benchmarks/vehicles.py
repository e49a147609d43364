"""Random vehicle roofs from 2.7 to 8 m: watts, bound, seconds to the first layout, to the proof and in all.

python tests/benchmarks/vehicles.py [--limit 60] [--seeds 1 2] [--lengths 5200 8000]

Made by a script with a fixed seed: sizes in steps of 10 mm, three to six obstacles, ten models of the demo
catalogue from 110 W up, which come in steps of 5 W.
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
import tempfile
from pathlib import Path
from typing import Any

from shapely.geometry import box
from sizes import run

CATALOGUE = Path(__file__).parents[2] / "roofs" / "catalogue" / "panels.csv"
LENGTHS_MM = (2700, 3200, 3700, 4200, 4700, 5200, 5700, 6200, 6700, 7200, 7600, 8000)
SHORT_MM = 3500  # so short a roof is narrower, too
OBSTACLES = (
    ("hatch", 400, 400),
    ("hatch", 700, 500),
    ("air-conditioner", 980, 600),
    ("vent", 200, 200),
    ("chimney", 150, 150),
    ("aerial", 300, 120),
)
MODELS = ("Dunlin 110", "Plover 130", "Avocet 135", "Tern 150", "Curlew 200", "Heron 205", "Bittern 220")
MODELS += ("Egret 235", "Osprey 270", "Crane 340", "Pelican 415", "Albatross 440")
USED = 10
TRIES = 300  # to place an obstacle
HEADS = ("length mm", "seed", "watts", "bound", "proven", "first layout s", "proof s")
HEADS += ("proof cpu s", "in all s", "MB")


def main() -> int:
    options = _options()
    print("| " + " | ".join(HEADS) + " |\n|" + " --- |" * len(HEADS))
    proofs: list[float] = []
    worse = False
    for seed in options.seeds:
        for length in options.lengths:
            with tempfile.TemporaryDirectory() as directory:
                ours = run("ours", write_roof(Path(directory), seed, length), options.limit)
            print(_line(length, seed, ours), flush=True)
            worse |= bool(ours["breaches"])
            proofs.append(ours.get("proof_s", float("inf")) if ours["proven"] else float("inf"))
    proofs.sort()
    print(f"\nproven {sum(p < float('inf') for p in proofs)} of {len(proofs)}; ", end="")
    print(f"middle {statistics.median(proofs):.1f} s, within 8 s {sum(p <= 8.0 for p in proofs)}")
    return 1 if worse else 0


def write_roof(directory: Path, seed: int, length: int) -> Path:
    """A job file for a roof of so many millimetres."""
    chance = random.Random(seed * 1000 + length)
    depth = chance.randrange(1900, 2510, 10) if length > SHORT_MM else chance.randrange(1700, 2200, 10)
    text = f'title = "Roof {seed}"\n\n[spacing]\nbetween_panels = {chance.choice((10, 15, 20))}\n'
    text += f'from_edge = {chance.choice((30, 40, 50))}\n\n[[facet]]\nname = "roof"\n'
    text += f"outline = [[0, 0], [{length}, 0], [{length}, {depth}], [0, {depth}]]\n\n"
    standing: list[Any] = []
    wanted = chance.randint(3, 6)
    for _ in range(TRIES):
        if len(standing) == wanted:
            break
        kind, w, h = chance.choice(OBSTACLES)
        x, y = chance.randrange(100, length - w - 100, 10), chance.randrange(100, depth - h - 100, 10)
        shape = box(x - 60, y - 60, x + w + 60, y + h + 60)
        if any(shape.intersects(other) for other in standing):
            continue
        standing.append(shape)
        text += f'[[obstacle]]\nname = "{kind} {len(standing)}"\nfacet = "roof"\nkind = "{kind}"\n'
        text += f"at = [{x}, {y}]\nsize = [{w}, {h}]\nclearance = {chance.choice((20, 30, 50))}\n\n"
    use = ", ".join(f'"{name}"' for name in chance.sample(MODELS, USED))
    job = directory / "job.toml"
    text += f'[panels]\ncatalogue = "{CATALOGUE.as_posix()}"\nuse = [{use}]\n'
    job.write_text(text, encoding="utf-8")
    return job


def _line(length: int, seed: int, ours: dict[str, Any]) -> str:
    keys = ("first_s", "proof_s", "proof_cpu_s", "seconds")
    seconds = [f"{ours[key]:.1f}" if key in ours else "" for key in keys]
    cells = [str(length), str(seed), f"{ours['watts']:g}", f"{ours['bound_w']:g}"]
    cells += ["yes" if ours["proven"] else "no", *seconds, f"{ours['peak_mb']:.0f}"]
    return "| " + " | ".join(cells) + " |"


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--limit", type=float, default=60.0, help="seconds for each [60]")
    parser.add_argument("--seeds", type=int, nargs="+", default=(1, 2), help="of the roofs")
    parser.add_argument("--lengths", type=int, nargs="+", default=LENGTHS_MM, help="in mm")
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
