"""Jobs whose bound was once too low, so that a worse layout was called proven; each optimum is arithmetic."""

from __future__ import annotations

import subprocess
import sys
import time

import pytest

from rooflayout.job import ControllerModel, Facet, Job, KeptPanel, PanelModel, PanelRules
from rooflayout.packing import stock
from rooflayout.packing.pack import Clock, Packed, pack
from rooflayout.wiring.options import StringOption, Supply, TrackerClass

CONTROLLER = ControllerModel("C", 100.0, 20.0, 20.0, (12.0,))


def facet(along_x_mm: float, along_y_mm: float) -> Facet:
    return Facet("main", ((0, 0), (along_x_mm, 0), (along_x_mm, along_y_mm), (0, along_y_mm)))


def packed(job: Job, supply: Supply | None = None) -> Packed:
    return pack(job, supply, Clock(time.monotonic() + 20, lambda: False, lambda watts, bound: None))


def shared(trackers: int, *options: StringOption) -> Supply:
    return Supply((TrackerClass(CONTROLLER, trackers),), options)


def test_an_exact_tiling_is_not_lost_to_floating_point() -> None:
    tile = PanelModel("A", 1333, 1146, 308.0)
    found = packed(Job("tiles", (facet(2 * 1333, 2 * 1146),), PanelRules((tile,))))
    assert (found.watts, found.bound_watts, found.proven) == (1232.0, 1232.0, True)


@pytest.mark.parametrize(
    ("kept", "kept_w", "kept_option", "new", "new_w", "new_option", "best_w"),
    [
        (3, 150.0, (1, 2), 4, 100.0, (1, 2), 300.0),
        (3, 300.0, (2, 1), 1, 50.0, (2, 2), 600.0),
        (4, 105.0, (1, 3), 3, 100.0, (2, 1), 315.0),
    ],
)
def test_kept_panels_may_be_worth_the_tracker_more_than_new_ones(
    kept: int,
    kept_w: float,
    kept_option: tuple[int, int],
    new: int,
    new_w: float,
    new_option: tuple[int, int],
    best_w: float,
) -> None:
    old = PanelModel("old", 500, 500, kept_w, turnable=False)
    fresh = PanelModel("new", 510, 400, new_w, turnable=False)
    places = tuple(KeptPanel(old, "main", 500.0 * i, 0.0) for i in range(kept))
    job = Job("kept", (facet(500 * kept + 510 * new + 100, 500),), PanelRules((fresh,)), kept=places)
    found = packed(job, shared(1, StringOption(old, 0, *kept_option), StringOption(fresh, 0, *new_option)))
    assert (found.watts, found.bound_watts, found.proven) == (best_w, best_w, True)


def test_kept_panels_count_where_no_new_one_has_room() -> None:
    old, fresh = PanelModel("old", 500, 500, 200.0), PanelModel("new", 500, 400, 100.0)
    job = Job("full", (facet(500, 500),), PanelRules((fresh,)), kept=(KeptPanel(old, "main", 0.0, 0.0),))
    supply = shared(1, StringOption(old, 0, 1, 1), StringOption(fresh, 0, 1, 1))
    for found in (packed(job), packed(job, supply)):
        assert (found.watts, found.bound_watts, found.proven) == (200.0, 200.0, True)


def test_a_sold_out_model_does_not_hide_the_other() -> None:
    sold_out = PanelModel("A", 210, 307, 20.0, stock=0)
    large = PanelModel("B", 1990, 1490, 100.0, turnable=False)
    found = packed(Job("sold out", (facet(2000, 1500),), PanelRules((sold_out, large))))
    assert (found.watts, found.bound_watts, found.proven) == (100.0, 100.0, True)


def test_nothing_wirable_is_an_answer_not_an_error() -> None:
    old, fresh = PanelModel("old", 500, 500, 200.0), PanelModel("new", 500, 400, 100.0)
    found = packed(Job("none", (facet(1000, 500),), PanelRules((fresh,))), shared(1))
    assert (found.watts, found.bound_watts, found.proven, found.panels) == (0.0, 0.0, True, ())
    kept = (KeptPanel(old, "main", 0.0, 0.0),)
    job = Job("kept only", (facet(1000, 500),), PanelRules((fresh,)), kept=kept)
    found = packed(job, shared(1, StringOption(old, 0, 1, 1)))
    assert (found.watts, found.bound_watts, found.proven) == (200.0, 200.0, True)


def test_packing_writes_nothing_on_standard_output() -> None:
    """Standard output belongs to the answer; a banner once stood there, on the first solve of a process."""
    program = """
import time
from rooflayout.job import Facet, Job, PanelModel, PanelRules
from rooflayout.packing.pack import Clock, pack
main = Facet("main", ((0, 0), (1000, 0), (1000, 500), (0, 500)))
job = Job("quiet", (main,), PanelRules((PanelModel("A", 500, 500, 100.0),)))
assert pack(job, None, Clock(time.monotonic() + 20, lambda: False, lambda watts, bound: None)).watts == 200
"""
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert (done.stdout, done.stderr) == ("", "")


def test_a_team_searched_on_a_coarse_raster_is_not_called_proven(monkeypatch: pytest.MonkeyPatch) -> None:
    """With too little room for 1 mm the candidates are thinned out; only an area bound is true then."""
    models = tuple(PanelModel(f"p{i}", 333 + i, 251 + i, 100 + i) for i in range(3))
    roof = Facet("r", ((0, 0), (1003, 0), (1003, 760), (0, 760)))
    job = Job("t", (roof,), PanelRules(models, most_models=1))
    monkeypatch.setattr(stock, "MOST_CELLS", 20)
    coarse = pack(job, None, Clock(time.monotonic() + 20, lambda: False, lambda a, b: None))
    assert not coarse.proven
    monkeypatch.undo()
    fine = pack(job, None, Clock(time.monotonic() + 20, lambda: False, lambda a, b: None))
    assert fine.proven
    assert coarse.bound_watts >= fine.watts == 909
