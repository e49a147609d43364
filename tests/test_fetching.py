"""pvlib is loaded beside the search: it is there afterwards, however the search ends."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from rooflayout.job import Battery, ControllerModel, Controllers, Facet, Job, PanelModel, PanelRules
from rooflayout.planner import plan_job

ROOT = Path(__file__).parent.parent
BEGIN = """
import sys, threading
from rooflayout.fetching import pvlib_beside

def state():
    threads = [t.name for t in threading.enumerate()]
    return "pvlib.ivtools.sdm" in sys.modules, threads == ["MainThread"]

"""
REED = PanelModel("Reed 100", 1000, 500, 100.0, voc_v=24.0, vmp_v=20.0, isc_a=5.3, imp_a=5.0)
RUSH = ControllerModel("Rush 20", 100.0, 20.0, 20.0, (12.0,), 1, 5.0, 97.0)
JOB = Job(
    "shed",
    (Facet("main", ((0.0, 0.0), (2100.0, 0.0), (2100.0, 1100.0), (0.0, 1100.0))),),
    PanelRules((REED,)),
    battery=Battery(12.0, 14.4),
    controllers=Controllers((RUSH,), (RUSH, RUSH)),
)


def printed(code: str) -> str:
    """What a Python of its own prints, where nothing is loaded yet."""
    done = subprocess.run(
        [sys.executable, "-c", BEGIN + code], cwd=ROOT, capture_output=True, text=True, timeout=120
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_afterwards_it_is_there_and_no_thread_is_left() -> None:
    assert printed("with pvlib_beside(True): pass\nprint(*state())") == "True True"


@pytest.mark.parametrize("error", ["ValueError", "KeyboardInterrupt"])
def test_so_it_is_where_the_inside_ends_with_an_error(error: str) -> None:
    code = f"try:\n  with pvlib_beside(True): raise {error}\nexcept {error}: print(*state())"
    assert printed(code) == "True True"


def test_nothing_is_loaded_where_nothing_needs_it() -> None:
    assert printed("with pvlib_beside(False): pass\nprint(*state())") == "False True"


def test_a_pvlib_that_cannot_be_loaded_is_told_by_whoever_needs_it() -> None:
    code = "sys.modules['pvlib'] = None\nwith pvlib_beside(True): pass\n"
    code += "try:\n  import pvlib\nexcept ImportError: print('told', state()[1])"
    assert printed(code) == "told True"


def test_the_plan_is_the_same_where_it_is_not_loaded_beside() -> None:
    """One worker: no thread beside the search."""
    plans = [plan_job(JOB, workers=workers) for workers in (1, 2)]
    assert plans[0].wiring is not None
    assert plans[0].wiring.readings
    alone, beside = (replace(p, layout=replace(p.layout, seconds=0.0)) for p in plans)
    assert alone == beside


def test_the_sun_of_a_place_is_known_before_it_is_there() -> None:
    """What a plan asks before its search: whether the job has a harvest, heights of the land and all."""
    code = """
from rooflayout.energy.energy import why_none
from rooflayout.job import Facet, Job, PanelRules, Site
roof = Facet("main", ((0.0, 0.0), (2100.0, 0.0), (2100.0, 1100.0), (0.0, 1100.0)))
job = Job("shed", (roof,), PanelRules(()), site=Site(latitude_deg=46.5, longitude_deg=8.0))
print(why_none(job), "pvlib" in sys.modules)
"""
    assert printed(code) == "None False"
