"""One method on one roof, in a process of its own; prints one JSON line. compare.py starts it.

python tests/benchmarks/one.py METHOD JOB.toml LIMIT_S      METHOD: ours, textbook, rows, packer
"""

from __future__ import annotations

import time

BEGUN = time.monotonic()  # before the heavy imports: what a user waits for

import json  # noqa: E402
import os  # noqa: E402
import resource  # noqa: E402
import sys  # noqa: E402
from pathlib import Path  # noqa: E402

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command does

from found import Found, breaches  # noqa: E402
from space import CannotModelError  # noqa: E402

from rooflayout.job import Job  # noqa: E402
from rooflayout.survey.read import read_job  # noqa: E402

WORKERS = 2


def main(method: str, job_file: str, limit_s: float) -> int:
    job, _ = read_job(Path(job_file))
    record: dict[str, object] = {}
    try:
        found = _solve(method, job, limit_s, record)
    except CannotModelError as why:
        print(json.dumps({"skipped": str(why)}))
        return 0
    record["seconds"] = time.monotonic() - BEGUN
    record["cpu_s"] = time.process_time()  # of all threads: what others on the machine left of the seconds
    record["peak_mb"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    wrong = breaches(job, found)
    record |= {"watts": found.watts, "bound_w": found.bound_w, "proven": found.proven, "breaches": wrong}
    print(json.dumps(record))
    return 0


def _solve(method: str, job: Job, limit_s: float, record: dict[str, object]) -> Found:
    if method == "ours":
        return _ours(job, limit_s, record)
    if method == "textbook":
        from textbook import solve_textbook

        return solve_textbook(job, limit_s, WORKERS)
    if method == "rows":
        from rows import solve_rows

        return solve_rows(job)
    if method == "packer":
        from packer import solve_packer

        return solve_packer(job, limit_s)
    raise SystemExit(f"no such method: {method}")


def _ours(job: Job, limit_s: float, record: dict[str, object]) -> Found:
    """The packing room alone; notes when the first layout and the proof came."""
    from rooflayout.packing.pack import Clock, pack

    def tell(watts: int, bound: int) -> None:
        seconds = time.monotonic() - BEGUN
        if watts > 0:
            record.setdefault("first_s", seconds)
        if 0 < bound <= watts:
            record.setdefault("proof_s", seconds)
            record.setdefault("proof_cpu_s", time.process_time())

    packed = pack(job, None, Clock(time.monotonic() + limit_s, lambda: False, tell, WORKERS))
    return Found(packed.panels, packed.bound_watts, packed.proven)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2], float(sys.argv[3])))
