"""How long wirings take.

python tests/benchmarks/wirings.py [--count 10000] [--panels 12] [--controllers 3] [--seed 0]

Makes random wirings (tests/wiring/random_wirings.py), each inspected and compared with a search over all
counts. How much wiring slows a plan: slowdown.py.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path
from random import Random
from statistics import median

HERE = Path(__file__).parent
SLOWEST = 5


def main() -> int:
    options = _options()
    return wirings(options.count, options.panels, options.controllers, options.seed)


def wirings(count: int, panels: int, controllers: int, seed: int) -> int:
    """Makes so many wirings with a string; prints faults as they come. 1 when there is any."""
    sys.path.insert(0, str(HERE.parent / "wiring"))
    from exhaustive_wirings import groups_of, most_wired_w
    from random_wirings import breaches, random_case
    from unlike_by_hand import TooNearToTell

    from rooflayout.wiring.groups import NotWirable
    from rooflayout.wiring.temperatures import design_temperatures
    from rooflayout.wiring.wire import wire

    took: list[tuple[float, int]] = []
    empty = refused = faults = too_near = 0
    begun, number = time.process_time(), seed
    while len(took) < count:
        case = random_case(Random(number), panels, controllers)
        groups = groups_of(case.job, case.panels)
        try:
            most_w = most_wired_w(case.job, groups, capped=True)
            most_w = most_wired_w(case.job, groups) if most_w is None else most_w
        except TooNearToTell:  # unlike strings lose within a hair of what the job allows
            too_near, number = too_near + 1, number + 1
            continue
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
    if too_near:
        print(f"{too_near} more whose unlike strings are too near the job's limit to compare")
    print(f"{time.process_time() - begun:.0f} s of processor time in all")
    in_order = sorted(1000 * s for s, _ in took)
    mean = sum(in_order) / len(in_order)
    print(f"one wiring: mean {mean:.1f} ms, median {median(in_order):.1f} ms, ", end="")
    print(f"one in a hundred above {in_order[len(in_order) * 99 // 100]:.0f} ms, most {in_order[-1]:.0f} ms")
    slowest = ", ".join(f"{n} ({1000 * s:.0f} ms)" for s, n in sorted(took, reverse=True)[:SLOWEST])
    print(f"slowest seeds: {slowest}")
    return 1 if faults else 0


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--panels", type=int, default=12)
    parser.add_argument("--controllers", type=int, default=3)
    parser.add_argument("--seed", type=int, default=0)
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
