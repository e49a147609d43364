"""Each rule of the exact model alone: everything on offer must be taken; may it be?"""

from __future__ import annotations

import time
from collections.abc import Sequence

import numpy as np
import pytest
from small_random_jobs import CONTROLLER, rectangle

from rooflayout.job import Facet, Job, KeptPanel, PanelModel, PanelRules, Spacing
from rooflayout.packing.closure import free_standing
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.model import Answer, PackingModel
from rooflayout.packing.rules import models_of, rules_of
from rooflayout.wiring.options import UNLIMITED, StringOption, Supply, TrackerClass

A = PanelModel("A", 600, 400, 100.0, mass_kg=5.0, price=80.0, turnable=False)
B = PanelModel("B", 600, 400, 90.0, mass_kg=4.0, price=120.0, turnable=False)
OLD = PanelModel("old", 600, 400, 70.0, mass_kg=6.0, turnable=False)
FACETS = (rectangle("F0", 6000, 2000), rectangle("F1", 6000, 2000))


class Offer:
    """Panels side by side, model by model; all of them, or the best of them, under a job's rules."""

    def __init__(
        self,
        panels: PanelRules,
        models: str,
        supply: Supply | None = None,
        kept: Sequence[KeptPanel] = (),
        places: Sequence[tuple[int, int]] | None = None,
        facets: tuple[Facet, ...] = FACETS,
        on: Sequence[int] | None = None,
        gap: float = 0.0,
    ) -> None:
        job = Job("x", facets, panels, spacing=Spacing(gap, 0), kept=tuple(kept))
        catalogue = models_of(job)
        kinds = tuple(k for k in kinds_of(job, catalogue) if catalogue[k.model] in panels.models)
        where = on or [0] * len(models)
        numbers = [
            next(i for i, k in enumerate(kinds) if catalogue[k.model].model == name and k.facet == f)
            for name, f in zip(models, where, strict=True)
        ]
        spots = places or [(600 * i, 1000) for i in range(len(models))]
        self.candidates = free_standing(
            np.array(numbers, dtype=np.int64),
            np.array([x for x, _ in spots], dtype=np.int64),
            np.array([y for _, y in spots], dtype=np.int64),
        )
        grid = PointGrid(self.candidates, kinds)
        rules = rules_of(job, catalogue, kinds, supply)
        self.model = PackingModel(self.candidates, grid, rules, np.arange(len(numbers)), None)

    def best(self) -> Answer:
        return self.model.solve(self.model.watts, time.monotonic() + 20, lambda: False, most=True)

    def all_of_it(self) -> Answer:
        self.model.model.add(self.model.panels() == len(self.candidates))
        return self.best()

    def may_be(self) -> bool:
        status = self.all_of_it().status
        assert status in ("OPTIMAL", "INFEASIBLE")
        return status == "OPTIMAL"


def test_without_rules_everything_goes() -> None:
    answer = Offer(PanelRules((A, B)), "AAAB").all_of_it()
    assert (answer.status, answer.value, answer.bound) == ("OPTIMAL", 3900, 3900)
    assert sorted(answer.chosen.tolist()) == [0, 1, 2, 3]


@pytest.mark.parametrize(
    ("places", "gap", "expected"),
    [
        ([(0, 0), (600, 0)], 0, True),
        ([(0, 0), (599, 0)], 0, False),
        ([(0, 0), (599, 400)], 0, True),
        ([(0, 0), (0, 399)], 0, False),
        ([(0, 0), (619, 0)], 20, False),
        ([(0, 0), (620, 0)], 20, True),
        ([(0, 0), (300, 419)], 20, False),
        ([(0, 0), (300, 420)], 20, True),
        ([(0, 0), (0, 0)], 0, False),
        ([(0, 0), (700, 0), (350, 390)], 0, False),
    ],
)
def test_panels_do_not_overlap(places: list[tuple[int, int]], gap: float, expected: bool) -> None:
    assert Offer(PanelRules((A,)), "A" * len(places), places=places, gap=gap).may_be() is expected


def test_panels_on_two_facets_are_not_in_each_others_way() -> None:
    assert Offer(PanelRules((A,)), "AA", places=[(0, 0), (0, 0)], on=[0, 1]).may_be()


def test_stock() -> None:
    def with_stock(n: int) -> Offer:
        model = PanelModel("A", 600, 400, 100.0, turnable=False, stock=n)
        return Offer(PanelRules((model, B)), "AAB", on=[0, 1, 0])

    assert with_stock(2).may_be()
    assert not with_stock(1).may_be()
    assert with_stock(0).best().value == 900


def test_mass_with_kept_panels() -> None:
    kept = [KeptPanel(OLD, "F0", 0, 0)]
    assert Offer(PanelRules((A, B), most_mass_kg=14.0), "AAB").may_be()
    assert not Offer(PanelRules((A, B), most_mass_kg=13.9), "AAB").may_be()
    assert Offer(PanelRules((A, B), most_mass_kg=20.0), "AAB", kept=kept).may_be()
    assert not Offer(PanelRules((A, B), most_mass_kg=19.9), "AAB", kept=kept).may_be()


def test_kept_panels_that_are_too_heavy_leave_the_roof_as_it_is() -> None:
    found = Offer(PanelRules((A,), most_mass_kg=1.0), "A", kept=[KeptPanel(OLD, "F0", 0, 0)]).best()
    assert (found.status, found.value, found.chosen.tolist()) == ("OPTIMAL", 700, [])


def test_budget() -> None:
    assert Offer(PanelRules((A, B), budget=280.0), "AAB").may_be()
    assert not Offer(PanelRules((A, B), budget=279.99), "AAB").may_be()


def test_most_models() -> None:
    assert Offer(PanelRules((A, B), most_models=2), "AB").may_be()
    assert not Offer(PanelRules((A, B), most_models=1), "AB").may_be()
    assert Offer(PanelRules((A, B), most_models=1), "AB").best().value == 1000
    kept = [KeptPanel(OLD, "F0", 0, 0)]
    assert not Offer(PanelRules((A, B), most_models=2), "AB", kept=kept).may_be()
    assert Offer(PanelRules((A, B), most_models=2), "BB", kept=kept).may_be()
    assert Offer(PanelRules((A, B), most_models=1), "AA", kept=[KeptPanel(A, "F0", 0, 0)]).may_be()


def supply(trackers: int, *options: StringOption) -> Supply:
    return Supply((TrackerClass(CONTROLLER, trackers),), options)


@pytest.mark.parametrize(
    ("panels", "trackers", "in_series", "most_parallel", "expected"),
    [
        (4, 1, 2, 2, True),
        (5, 1, 2, 2, False),  # one is left over
        (3, 1, 1, 2, False),  # too many strings
        (3, 2, 1, 2, True),  # two and one
        (6, 1, 2, 2, False),
        (6, 2, 2, 2, True),
        (1, 1, 2, 2, False),  # the string is too short
        (1, 0, 1, 1, False),
    ],
)
def test_every_new_panel_is_on_a_string(
    panels: int, trackers: int, in_series: int, most_parallel: int, expected: bool
) -> None:
    option = StringOption(A, 0, in_series, most_parallel)
    assert Offer(PanelRules((A,)), "A" * panels, supply(trackers, option)).may_be() is expected


def test_one_tracker_has_strings_of_one_length_only() -> None:
    options = (StringOption(A, 0, 2, 2), StringOption(A, 0, 3, 1))
    assert not Offer(PanelRules((A,)), "AAAAA", supply(1, *options)).may_be()
    assert Offer(PanelRules((A,)), "AAAAA", supply(2, *options)).may_be()


def test_a_tracker_serves_one_model_on_one_facet() -> None:
    options = (StringOption(A, 0, 1, 4), StringOption(B, 0, 1, 4))
    assert not Offer(PanelRules((A, B)), "AB", supply(1, *options)).may_be()
    assert Offer(PanelRules((A, B)), "AB", supply(2, *options)).may_be()
    assert not Offer(PanelRules((A, B)), "AA", supply(1, *options), on=[0, 1]).may_be()
    assert Offer(PanelRules((A, B)), "AA", supply(2, *options), on=[0, 1]).may_be()
    assert Offer(PanelRules((A, B)), "ABBA", supply(UNLIMITED, *options), on=[0, 1, 0, 1]).may_be()


def test_classes_of_trackers_are_counted_apart() -> None:
    classes = (TrackerClass(CONTROLLER, 1), TrackerClass(CONTROLLER, 2))
    options = (StringOption(A, 0, 2, 1), StringOption(B, 1, 1, 1))
    assert Offer(PanelRules((A, B)), "AABB", Supply(classes, options)).may_be()
    assert not Offer(PanelRules((A, B)), "AAAABB", Supply(classes, options)).may_be()
    assert not Offer(PanelRules((A, B)), "AABBB", Supply(classes, options)).may_be()


def test_kept_panels_join_strings_or_stay_off() -> None:
    kept = [KeptPanel(A, "F0", 0, 0), KeptPanel(A, "F0", 600, 0)]
    pairs = supply(1, StringOption(A, 0, 2, 1))
    assert Offer(PanelRules((A,)), "A", pairs, kept).all_of_it().value == 2000  # one new, one kept
    assert Offer(PanelRules((A,)), "AA", pairs, kept).all_of_it().value == 2000  # both kept ones off
    assert Offer(PanelRules((A,)), "AA", supply(1, StringOption(A, 0, 2, 2)), kept).all_of_it().value == 4000
    assert not Offer(PanelRules((A,)), "A", pairs, [KeptPanel(A, "F1", 0, 0)]).may_be()  # other facet


def test_what_may_be_asked_for() -> None:
    offer = Offer(
        PanelRules((A, B)), "AAB", places=[(0, 0), (600, 0), (0, 400)], kept=[KeptPanel(OLD, "F1", 0, 0)]
    )
    model = offer.model
    model.model.add(model.panels() == 3)
    for wish, value in (
        (model.watts, 2900 + 700),
        (model.models_used(), 3),
        (model.panels(), 3),
        (model.mass(), 14_000),
        (model.price(), 28_000),
        (model.lines(), 4),  # x = 0 and 600, y = 0 and 400
        (model.spread(), 60 + 40),
    ):
        answer = model.solve(wish, time.monotonic() + 20, lambda: False, most=False)
        assert (answer.status, answer.value) == ("OPTIMAL", value)


def test_stopped_or_late_it_says_unknown() -> None:
    offer = Offer(PanelRules((A,)), "AAA")
    stopped = offer.model.solve(offer.model.watts, time.monotonic() + 20, lambda: True, most=True)
    late = offer.model.solve(offer.model.watts, time.monotonic() - 1, lambda: False, most=True)
    assert (stopped.status, late.status) == ("UNKNOWN", "UNKNOWN")
