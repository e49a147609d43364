"""Roofs for 10 to 1000 panels: watts, bound, gap, rows beside, seconds, processor seconds, memory.

python tests/benchmarks/sizes.py [--limit 60] [--panels 10 100] [--models 1 2] [--roofs clear] [--seeds 0 1]

The roofs are made by a script from a seed: twice as long as wide, with roof windows, chimneys, hatches and
vents. A cluttered roof has one for every ten panels, a clear one (a barn, a hall) two, and one more for
every fifty.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import subprocess
import sys
import tempfile
from itertools import product
from pathlib import Path
from typing import Any

from shapely.geometry import box

HERE = Path(__file__).parent
PANELS = (10, 30, 100, 300, 1000)
MODELS = (1, 2, 10)
ROOFS = ("cluttered", "clear")
FILLED = 0.85  # of the roof, by panels
GRACE_S = 120.0
OBSTACLES = (("skylight", 780, 1180), ("chimney", 610, 610), ("vent", 240, 240), ("hatch", 460, 550))
CATALOGUE = (
    "model,length_mm,width_mm,power_w\nA,1722,1134,430\nB,1134,1040,240\nC,1475,669,205\nD,1640,992,330\n"
    "E,1210,541,130\nF,1956,1046,440\nG,1002,673,140\nH,1559,1046,350\nI,1195,535,125\nJ,760,676,105\n"
)
HEADS = (
    "roof",
    "seed",
    "panels",
    "models",
    "watts",
    "bound",
    "gap %",
    "rows",
    "ours/rows",
    "proven",
    "seconds",
    "cpu s",
    "MB",
)


def main() -> int:
    options = _options()
    print("| " + " | ".join(HEADS) + " |\n|" + " --- |" * len(HEADS))
    worse = False
    asked = product(options.roofs, options.seeds, options.models, options.panels)
    for roof, seed, models, panels in asked:
        with tempfile.TemporaryDirectory() as directory:
            job = write_roof(Path(directory), panels, models, seed, roof)
            ours, rows = (run(method, job, options.limit) for method in ("ours", "rows"))
        print(_line((roof, seed, panels, models), ours, rows), flush=True)
        worse |= bool(ours["breaches"]) or ours["watts"] < rows["watts"]
    return 1 if worse else 0


def write_roof(directory: Path, panels: int, models: int, seed: int = 0, roof: str = "cluttered") -> Path:
    """A job file and its catalogue: a roof for about so many panels of the first model."""
    depth = round(math.sqrt(panels * 1742 * 1154 / FILLED / 2))
    width = 2 * depth
    chance = random.Random(panels + 7919 * seed)
    text = f'title = "Roof for {panels}"\n\n[spacing]\nbetween_panels = 20\nfrom_edge = 50\n\n[[facet]]\n'
    text += f'name = "roof"\noutline = [[0, 0], [{width}, 0], [{width}, {depth}], [0, {depth}]]\n\n'
    standing: list[Any] = []
    while len(standing) < obstacles(panels, roof):
        kind, w, h = chance.choice(OBSTACLES)
        x, y = chance.randrange(200, width - w - 200), chance.randrange(200, depth - h - 200)
        shape = box(x - 100, y - 100, x + w + 100, y + h + 100)
        if any(shape.intersects(other) for other in standing):
            continue
        standing.append(shape)
        text += f'[[obstacle]]\nname = "{kind} {len(standing)}"\nfacet = "roof"\nkind = "{kind}"\n'
        text += f"at = [{x}, {y}]\nsize = [{w}, {h}]\nclearance = 60\n\n"
    use = ", ".join(f'"{line.split(",")[0]}"' for line in CATALOGUE.splitlines()[1 : models + 1])
    (directory / "panels.csv").write_text(CATALOGUE, encoding="utf-8")
    job = directory / "job.toml"
    job.write_text(text + f'[panels]\ncatalogue = "panels.csv"\nuse = [{use}]\n', encoding="utf-8")
    return job


def obstacles(panels: int, roof: str) -> int:
    """How many stand on a roof for so many panels."""
    return max(1, panels // 10) if roof == "cluttered" else 2 + panels // 50


def run(method: str, job: Path, limit_s: float) -> dict[str, Any]:
    """one.py in a process of its own."""
    command = [sys.executable, str(HERE / "one.py"), method, str(job), str(limit_s)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=limit_s + GRACE_S, check=True)
    found: dict[str, Any] = json.loads(done.stdout.strip().splitlines()[-1])
    return found


def _line(asked: tuple[str, int, int, int], ours: dict[str, Any], rows: dict[str, Any]) -> str:
    gap = 100 * (1 - ours["watts"] / ours["bound_w"])
    cells = [*map(str, asked), f"{ours['watts']:g}", f"{ours['bound_w']:g}", f"{gap:.1f}"]
    cells += [f"{rows['watts']:g}", f"{ours['watts'] / rows['watts']:.2f}", "yes" if ours["proven"] else "no"]
    return (
        "| "
        + " | ".join([*cells, f"{ours['seconds']:.1f}", f"{ours['cpu_s']:.0f}", f"{ours['peak_mb']:.0f}"])
        + " |"
    )


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--limit", type=float, default=60.0, help="seconds for each [60]")
    parser.add_argument("--panels", type=int, nargs="+", default=PANELS, help="sizes")
    parser.add_argument("--models", type=int, nargs="+", default=MODELS, help="how many models, of ten")
    parser.add_argument("--roofs", nargs="+", choices=ROOFS, default=ROOFS, help="how much stands on them")
    parser.add_argument("--seeds", type=int, nargs="+", default=(0, 1), help="other roofs of the same sort")
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
