"""The commands as a user types them, and small jobs for them; all names invented."""

from __future__ import annotations

import contextlib
import io
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import NamedTuple

import pytest

from rooflayout import cli
from rooflayout.plan import Plan

ROOT = Path(__file__).parent.parent
TRAILER = ROOT / "roofs" / "ringing-trailer.toml"
FILES = {"layout.pdf", "layout.svg", "layout.png", "panels.csv", "strings.csv", "plan.json"}

SMALL = """
title = "Shed"
[spacing]
between_panels = 10
[[facet]]
name = "top"
outline = [[0, 0], [{length}, 0], [{length}, 1000], [0, 1000]]
[panels]
catalogue = "panels.csv"
"""
PANELS = "model,length_mm,width_mm,power_w,voc_v,vmp_v,isc_a,imp_a\nReed 100,1000,500,100,24,20,5.3,5\n"
CONTROLLERS = "model,max_pv_v,max_pv_isc_a,max_charge_a,battery_v\nSmall,{volts},20,20,12 24\n"
WIRED = """
[site]
coldest = -10
hottest = 40
[battery]
nominal = 12
charge = 14.4
[controllers]
catalogue = "controllers.csv"
fitted = ["Small"]
"""

SLOW_S = 240  # for proofs on a machine that is busy with other tests
FAR = "[cable]\nroof_run = {roof}\ngland_to_controller = 1000\ncontroller_to_battery = {battery}\n"


class Ran(NamedTuple):
    """How a command ended, and what it printed."""

    returncode: int
    stdout: str
    stderr: str


def rooflayout(*words: object, cwd: Path = ROOT) -> Ran:
    """A command in this process, where all that takes seconds to load is there already.

    What only a process of its own can show (nothing else on its streams, signals, the same files from any
    process) is tested with on_its_own.
    """
    out, err, code = io.StringIO(), io.StringIO(), None
    typed, heard = sys.argv, signal.getsignal(signal.SIGINT)
    sys.argv = ["rooflayout", *map(str, words)]
    try:
        with contextlib.chdir(cwd), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            cli.main()
    except SystemExit as end:
        code = end.code
    finally:
        sys.argv = typed
        signal.signal(signal.SIGINT, heard)  # the command leaves its own behind
    assert isinstance(code, int), code
    return Ran(code, out.getvalue(), err.getvalue())


@contextlib.contextmanager
def undrawn() -> Iterator[None]:
    """Commands in this process write a word for each sheet, where what is drawn is not in question."""
    from rooflayout.documents import drawing, energy_set, wiring_set

    sets: tuple[tuple[ModuleType, str, str, Callable[[Plan], bool]], ...] = (
        (drawing, "drawing_files", "layout", lambda plan: True),
        (wiring_set, "wiring_files", "wiring", lambda plan: plan.wiring is not None),
        (energy_set, "energy_files", "energy", lambda plan: bool(plan.energy or plan.balance)),
    )
    with pytest.MonkeyPatch.context() as patched:
        for module, name, stem, there in sets:
            files = {f"{stem}.{end}": b"a sheet" for end in ("pdf", "svg", "png")}
            patched.setattr(
                module, name, lambda job, plan, f=files, there=there: dict(f) if there(plan) else {}
            )
        yield


def on_its_own(*words: object) -> Ran:
    """The same in a process of its own, as a user starts it."""
    command = [sys.executable, "-m", "rooflayout.cli", *map(str, words)]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, check=False, timeout=2 * SLOW_S)
    return Ran(done.returncode, done.stdout, done.stderr)


def shed(folder: Path, *, length: int = 2010, volts: int | None = None) -> Path:
    (folder / "panels.csv").write_text(PANELS)
    text = SMALL.format(length=length)
    if volts is not None:
        (folder / "controllers.csv").write_text(CONTROLLERS.format(volts=volts))
        text += WIRED
    job = folder / "shed.toml"
    job.write_text(text)
    return job


def far_shed(folder: Path, *, roof: int = 1000, battery: int = 500) -> Path:
    job = shed(folder, volts=100)
    job.write_text(job.read_text() + FAR.format(roof=roof, battery=battery))
    return job


class Planned(NamedTuple):
    """A job that is planned once for several tests, which change nothing in its folder."""

    job: Path
    out: Path
    done: Ran
