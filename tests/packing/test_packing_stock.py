"""Along slanted edges as many places as are not too many; thresholds tried at once give the same."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest

from rooflayout.job import Facet, Job, PanelModel, PanelRules, Spacing
from rooflayout.packing import missing, positions, stock
from rooflayout.packing.clearance import field_of
from rooflayout.packing.incumbent import Clock
from rooflayout.packing.kinds import Kind, kinds_of
from rooflayout.packing.positions import Candidates, candidates_of
from rooflayout.packing.rules import models_of, rules_of
from rooflayout.packing.search import Search
from rooflayout.packing.stock import ROUGH_STEP_MM, SLANT_STEPS_MM, Stock

NOSED = ((0.0, 0.0), (2400.0, 0.0), (3000.0, 700.0), (3000.0, 900.0), (2400.0, 1600.0), (0.0, 1600.0))


def job(outline: tuple[tuple[float, float], ...]) -> Job:
    models = tuple(PanelModel(str(w), h, w, 30, 9.0, 100.0) for w, h in ((400, 705), (515, 620)))
    return Job("t", (Facet("roof", outline),), panels=PanelRules(models), spacing=Spacing(10, 20))


def stock_of(of: Job, workers: int = 1) -> tuple[Stock, tuple[Kind, ...]]:
    kinds = kinds_of(of, models_of(of))
    clock = Clock(time.monotonic() + 60, lambda: False, lambda watts, bound: None, workers)
    return Stock(tuple(field_of(of, f) for f in of.facets), kinds, {}, clock), kinds


def same(one: Candidates, other: Candidates) -> bool:
    return all(
        np.array_equal(getattr(one, name), getattr(other, name))
        for name in ("kind", "x_mm", "y_mm", "held_x", "held_y")
    )


def counts() -> dict[int, int]:
    of, _ = stock_of(job(NOSED))
    return {step: len(of._at(step).on(of._kinds)) for step in SLANT_STEPS_MM}


@pytest.mark.parametrize("step", SLANT_STEPS_MM)
def test_the_finest_steps_that_are_not_too_many(step: int, monkeypatch: pytest.MonkeyPatch) -> None:
    found = counts()
    assert sorted(found.values(), reverse=True) == [found[s] for s in SLANT_STEPS_MM]
    more = 1.2 if step <= ROUGH_STEP_MM else 1.05  # the next finer ones are too many all the same
    monkeypatch.setattr(stock, "SLANT_CANDIDATES", int(more * found[step]))
    monkeypatch.setattr(stock, "TOO_MANY_CANDIDATES", int(more * found[step]))
    monkeypatch.setattr(stock, "MUCH_FEWER", 1.0)
    of, kinds = stock_of(job(NOSED))
    finest, _, raster = of.finest()
    assert raster == 1
    assert same(finest, of.on(kinds))  # the fields are those of the candidates
    assert len(finest) == found[step]


def test_where_all_are_too_many_the_coarsest(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stock, "SLANT_CANDIDATES", 1)
    monkeypatch.setattr(stock, "TOO_MANY_CANDIDATES", 1)
    assert len(stock_of(job(NOSED))[0].finest()[0]) == counts()[SLANT_STEPS_MM[-1]]


def test_thresholds_tried_at_once_give_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(positions, "MANY_CELLS", 0)
    monkeypatch.setattr(positions, "FEW", 0)
    of = job(((0.0, 0.0), (3000.0, 0.0), (3000.0, 1600.0), (0.0, 1600.0)))
    kinds = kinds_of(of, models_of(of))
    field = field_of(of, of.facets[0])
    assert same(candidates_of(field, kinds, [0, 1, 2, 3], 1), candidates_of(field, kinds, [0, 1, 2, 3], 3))


def test_steps_that_are_surely_too_many_are_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    """From the middling step on, which is looked at first, to the one that fits."""
    found, made = counts(), []
    on = Stock.on

    def noted(self: Stock, kinds: tuple[Kind, ...]) -> Candidates:
        made.append(self.fields[0].slant_step_mm)
        return on(self, kinds)

    monkeypatch.setattr(Stock, "on", noted)
    monkeypatch.setattr(stock, "SLANT_CANDIDATES", found[640])
    monkeypatch.setattr(stock, "TOO_MANY_CANDIDATES", found[640])
    monkeypatch.setattr(stock, "NEARLY", 1.0)
    assert len(stock_of(job(NOSED))[0].finest()[0]) == found[640]
    assert made == [80, 320, 640]  # at 160 there would be 610 of at most 445, at 320 278


def test_some_more_than_finer_steps_may_have_are_no_reason_for_coarser_ones(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    found = counts()
    monkeypatch.setattr(stock, "SLANT_CANDIDATES", found[ROUGH_STEP_MM] - 1)
    monkeypatch.setattr(stock, "TOO_MANY_CANDIDATES", found[ROUGH_STEP_MM])
    assert len(stock_of(job(NOSED))[0].finest()[0]) == found[ROUGH_STEP_MM]


@pytest.mark.parametrize(("step", "coarse"), [(10, 80), (80, 80), (320, 320)])
def test_near_misses_touch_slants_coarsely_and_no_finer_than_the_search(step: int, coarse: int) -> None:
    of = job(NOSED)
    kinds = kinds_of(of, models_of(of))
    fields = tuple(replace(field_of(of, f), slant_step_mm=step, slant_step_fixed=True) for f in of.facets)
    clock = Clock(time.monotonic() + 60, lambda: False, lambda watts, bound: None)
    real = Search(fields, rules_of(of, models_of(of), kinds, None), clock)
    real.prepare(answers=False)
    (field,) = missing._coarsely(fields, real)
    assert (field.slant_step_mm, field.slant_step_fixed) == (coarse, True)


@pytest.mark.parametrize(("much_fewer", "step"), [(0.3, 80), (0.31, 640)])
def test_coarser_steps_only_where_they_save_much(
    much_fewer: float, step: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of 1442 places 445 are left with the coarsest steps, 0.309."""
    monkeypatch.setattr(stock, "SLANT_CANDIDATES", 1)
    monkeypatch.setattr(stock, "TOO_MANY_CANDIDATES", 1)
    monkeypatch.setattr(stock, "MUCH_FEWER", much_fewer)
    of, _ = stock_of(job(NOSED))
    assert len(of.finest()[0]) == counts()[step]
    assert [field.slant_step_mm for field in of.fields] == [step]
