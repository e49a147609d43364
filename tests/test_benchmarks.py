"""The comparison beside others runs at all: nothing else would notice that it does not."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]


def test_the_comparison_beside_others_runs() -> None:
    words = ["--only", "teardrop-2.7m", "--limit", "2", "--textbook-limit", "1", "--packer-limit", "0.1"]
    command = [sys.executable, "tests/benchmarks/compare.py", *words]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, check=False, timeout=120)
    assert done.returncode == 0, done.stderr
    ours = next(line for line in done.stdout.splitlines() if "teardrop-2.7m" in line)
    assert "no answer" not in ours
