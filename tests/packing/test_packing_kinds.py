"""Panels as kinds: ways round, pitches, whole figures, coarser ones."""

from __future__ import annotations

import pytest
from small_random_jobs import rectangle

from rooflayout.job import Job, PanelModel, PanelRules, Spacing
from rooflayout.packing.kinds import coarser, kinds_of, tenths, ways_round


def job(*models: PanelModel, gap: float = 20.0, facets: int = 1) -> Job:
    roofs = tuple(rectangle(f"F{i}", 5000, 2000) for i in range(facets))
    return Job("x", roofs, PanelRules(models), spacing=Spacing(gap, 0))


def test_each_model_each_way_round_on_each_facet() -> None:
    a, square, fixed = (
        PanelModel("A", 1200, 540, 110.0),
        PanelModel("B", 700, 700, 90.0),
        PanelModel("C", 900, 300, 50.0, turnable=False),
    )
    found = kinds_of(job(a, square, fixed, facets=2), (a, square, fixed))
    said = [(k.facet, k.model, k.turned, k.w_mm, k.h_mm) for k in found]
    one = [(0, False, 1200, 540), (0, True, 540, 1200), (1, False, 700, 700), (2, False, 900, 300)]
    assert said == [(f, *rest) for f in (0, 1) for rest in one]
    assert {(k.pitch_x_mm - k.w_mm, k.pitch_y_mm - k.h_mm) for k in found} == {(20, 20)}
    assert [k.watts for k in found[:4]] == [1100, 1100, 900, 500]


def test_ways_round() -> None:
    assert ways_round(PanelModel("A", 2, 1, 1.0)) == (False, True)
    assert ways_round(PanelModel("A", 2, 2, 1.0)) == (False,)
    assert ways_round(PanelModel("A", 2, 1, 1.0, turnable=False)) == (False,)


def test_no_side_is_made_smaller_than_it_is() -> None:
    model = PanelModel("A", 1482.7, 670.1, 100.0)
    for kind in kinds_of(job(model, gap=12.5), (model,)):
        along_x, along_y = model.sides_mm(kind.turned)
        assert kind.w_mm >= along_x
        assert kind.h_mm >= along_y
        assert kind.pitch_x_mm >= along_x + 12.5
        assert kind.pitch_y_mm >= along_y + 12.5


@pytest.mark.parametrize("watts", [0.1, 0.3, 1.1, 99.9, 100.7, 110.0, 333.3, 445.2])
def test_a_watt_in_tenths_is_not_lost_to_binary(watts: float) -> None:
    assert tenths(watts) == round(watts * 10)


@pytest.mark.parametrize("raster", [1, 7, 20, 50])
def test_coarser_kinds_are_no_smaller_and_on_the_raster(raster: int) -> None:
    models = (PanelModel("A", 1201, 543, 110.0), PanelModel("B", 990, 331, 60.0))
    kinds = kinds_of(job(*models, gap=13.0), models)
    for fine, coarse in zip(kinds, coarser(kinds, raster), strict=True):
        for small, large in ((fine.pitch_x_mm, coarse.pitch_x_mm), (fine.pitch_y_mm, coarse.pitch_y_mm)):
            assert large % raster == 0
            assert 0 <= large - small < raster
        assert (coarse.pitch_x_mm - coarse.w_mm, coarse.pitch_y_mm - coarse.h_mm) == (13, 13)
        assert (coarse.watts, coarse.model, coarse.turned) == (fine.watts, fine.model, fine.turned)
