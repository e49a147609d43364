"""Runs the reference roofs with rooflayout and its opponents, and prints what each found.

python tests/benchmarks/compare.py [--limit 60] [--textbook-limit 60] [--packer-limit 20]
                                   [--only NAME ...] [--quick] [--front-door] [--save FILE.json]

Every method runs in a process of its own, one after the other, and every layout must pass inspection.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import asdict, dataclass, field
from pathlib import Path

from table import print_table

HERE = Path(__file__).parent
ROOFS = HERE / "roofs"
QUICK = ("teardrop-2.7m", "survey-trailer-4.2m", "family-caravan-5.5m")
QUICK_LIMIT_S = 10.0
GRACE_S = 60.0  # beyond its limit; whoever is not back by then is ended


@dataclass
class Run:
    """What one method made of one roof; None where it has nothing to say."""

    watts: float | None = None
    bound_w: float | None = None
    proven: bool = False
    first_s: float | None = None
    proof_s: float | None = None
    proof_cpu_s: float | None = None  # processor seconds, to the proof
    cpu_s: float | None = None  # and in all
    seconds: float | None = None
    peak_mb: float | None = None
    skipped: str = ""
    breaches: list[str] = field(default_factory=list)


@dataclass
class Comparison:
    roof: str
    runs: dict[str, Run] = field(default_factory=dict)


def main() -> int:
    options = _options()
    roofs = _chosen(options.only, options.quick)
    methods = {"ours": options.limit, "textbook": options.textbook_limit}
    methods |= {"packer": options.packer_limit, "rows": 0.0}
    found: list[Comparison] = []
    begun = time.monotonic()
    for number, roof in enumerate(roofs, 1):
        comparison = Comparison(roof.stem)
        for method, limit_s in methods.items():
            _progress(f"{number}/{len(roofs)} {roof.stem}: {method} ...")
            if method == "ours" and options.front_door:
                comparison.runs[method] = _front_door(roof, limit_s)
            else:
                comparison.runs[method] = _in_own_process(method, roof, limit_s)
        found.append(comparison)
        _save(options.save, found)
    _progress("")
    print_table(found)
    print(f"\n{len(found)} roofs in {(time.monotonic() - begun) / 60:.0f} min; limits: " + _limits(methods))
    wrong = [f"{c.roof}, {m}: {b}" for c in found for m, r in c.runs.items() for b in r.breaches]
    for breach in wrong:
        print(f"BREACH {breach}")
    return 1 if wrong else 0


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="rooflayout beside its opponents on the reference roofs.")
    parser.add_argument("--limit", type=float, default=60.0, help="seconds for rooflayout [60]")
    parser.add_argument(
        "--textbook-limit", type=float, default=60.0, help="seconds for the textbook model [60]"
    )
    parser.add_argument("--packer-limit", type=float, default=20.0, help="seconds for the packer [20]")
    parser.add_argument("--only", nargs="+", metavar="NAME", help="only these roofs")
    parser.add_argument("--quick", action="store_true", help="three roofs, 10 s each")
    parser.add_argument("--front-door", action="store_true", help="run `rooflayout plan`, documents and all")
    parser.add_argument("--save", type=Path, metavar="FILE.json", help="keep the figures as they come")
    options = parser.parse_args()
    if options.quick:
        options.limit = min(options.limit, QUICK_LIMIT_S)
        options.textbook_limit = min(options.textbook_limit, QUICK_LIMIT_S)
        options.packer_limit = min(options.packer_limit, QUICK_LIMIT_S)
    return options


def _chosen(only: list[str] | None, quick: bool) -> list[Path]:
    """The job files, shortest roof first."""
    roofs = sorted(ROOFS.glob("*.toml"), key=lambda path: float(path.stem.rsplit("-", 1)[1].rstrip("m")))
    names = only or (QUICK if quick else [path.stem for path in roofs])
    unknown = sorted(set(names) - {path.stem for path in roofs})
    if unknown:
        known = ", ".join(path.stem for path in roofs)
        raise SystemExit(f"no such roof: {', '.join(unknown)}. There are: {known}")
    return [path for path in roofs if path.stem in names]


def _in_own_process(method: str, roof: Path, limit_s: float) -> Run:
    command = [sys.executable, str(HERE / "one.py"), method, str(roof), str(limit_s)]
    out, _, _, failure = _run(command, limit_s + GRACE_S)
    record = _last_json_line(out)
    if record is None:
        return Run(skipped=failure or "no answer")
    return Run(**record)


def _front_door(roof: Path, limit_s: float) -> Run:
    """The whole command as a user types it, with all its documents; its own inspection has passed it."""
    with tempfile.TemporaryDirectory() as directory:
        command = [sys.executable, "-c", "from rooflayout.cli import main; main()", "plan", str(roof)]
        command += ["--out", directory, "--time-limit", str(limit_s), "--json"]
        out, seconds, peak_mb, failure = _run(command, limit_s + GRACE_S)
    try:
        layout = json.loads(out[out.index("{") :])["layout"]
    except (ValueError, KeyError):
        return Run(skipped=failure or "no answer")
    proven = layout["status"] == "proven"
    return Run(layout["watts"], layout["bound_watts"], proven, seconds=seconds, peak_mb=peak_mb)


def _run(command: list[str], limit_s: float) -> tuple[str, float, float, str]:
    """Standard output, seconds, peak memory (MB) and what went wrong, if anything, of one command."""
    begun = time.monotonic()
    with tempfile.TemporaryFile("w+") as out, tempfile.TemporaryFile("w+") as err:
        child = subprocess.Popen(command, stdout=out, stderr=err, stdin=subprocess.DEVNULL)
        failure = ""
        while True:
            pid, status, usage = os.wait4(child.pid, os.WNOHANG)
            if pid:
                break
            if time.monotonic() - begun > limit_s:
                child.kill()
                failure = f"ended after {limit_s:.0f} s"
                _, status, usage = os.wait4(child.pid, 0)
                break
            time.sleep(0.02)
        child.returncode = os.waitstatus_to_exitcode(status)
        seconds = time.monotonic() - begun
        out.seek(0)
        err.seek(0)
        if child.returncode and not failure:
            failure = (err.read().strip().splitlines() or [f"exit {child.returncode}"])[-1]
        return out.read(), seconds, usage.ru_maxrss / 1024, failure


def _last_json_line(text: str) -> dict[str, object] | None:
    for line in reversed(text.splitlines()):
        if line.startswith("{"):
            return dict(json.loads(line))
    return None


def _limits(methods: dict[str, float]) -> str:
    return ", ".join(f"{method} {limit_s:g} s" for method, limit_s in methods.items() if limit_s)


def _save(file: Path | None, found: list[Comparison]) -> None:
    if file is not None:
        file.write_text(json.dumps([asdict(c) for c in found], indent=1) + "\n", encoding="utf-8")


def _progress(text: str) -> None:
    if sys.stderr.isatty():
        print(f"\r\x1b[K{text}", end="", file=sys.stderr, flush=True)


if __name__ == "__main__":
    sys.exit(main())
