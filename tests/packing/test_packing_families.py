"""Each row of the linear programme alone: what it lets pass and what it stops."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from exhaustive_roofs import models_on, ranks
from scipy.optimize import linprog
from small_random_jobs import CONTROLLER, random_job, random_supply, rectangle

from rooflayout.job import Job, KeptPanel, PanelModel, PanelRules
from rooflayout.packing.families import Auxiliary
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.rules import Rules, models_of, rules_of
from rooflayout.wiring.options import UNLIMITED, StringOption, Supply, TrackerClass

A = PanelModel("A", 600, 400, 100.0, turnable=False)
B = PanelModel("B", 500, 300, 90.0, turnable=False)
MAIN = rectangle("main", 3000, 3000)


def rules(panels: PanelRules, supply: Supply | None = None, kept: tuple[KeptPanel, ...] = ()) -> Rules:
    job = Job("x", (MAIN,), panels, kept=kept)
    models = models_of(job)
    kinds = tuple(k for k in kinds_of(job, models) if models[k.model] in panels.models)
    return rules_of(job, models, kinds, supply)


def passes(found: Rules, counts: list[float], watts: float | None = None, family: bool = True) -> bool:
    """True when some auxiliary columns go with these counts by kind: the rows, and families at one point.

    With watts, the auxiliary columns must bring as many. With family, each kind there is on one same point.
    """
    aux = Auxiliary(found)
    columns = len(aux.watts)
    lines, limits = [], []
    for row in aux.rows:
        line = np.zeros(max(1, columns))
        for j, value in row.auxiliary:
            line[j] += value
        lines.append(line)
        limits.append(row.limit - float(np.dot(row.per_kind, counts)))
    for one in aux.families if family else ():
        for kind in one.kinds:
            if counts[kind] > 0:
                line = np.zeros(max(1, columns))
                line[list(one.switches)] = -1.0
                lines.append(line)
                limits.append(-1.0)
    if watts is not None:
        lines.append(-np.array(aux.watts or [0.0]))
        limits.append(-watts)
    if not lines:
        return True
    answer = linprog(np.zeros(max(1, columns)), A_ub=np.array(lines), b_ub=limits, bounds=(0, None))
    assert answer.status in (0, 2)
    return bool(answer.status == 0)


def test_no_rules_no_rows() -> None:
    aux = Auxiliary(rules(PanelRules((A, B))))
    assert (aux.rows, aux.families, aux.watts) == ([], [], [])


def test_stock() -> None:
    few = PanelModel("A", 600, 400, 100.0, turnable=False, stock=2)
    found = rules(PanelRules((few, B)))
    assert passes(found, [2, 50])
    assert not passes(found, [3, 0])
    assert not passes(found, [2.1, 0])
    sold_out = PanelModel("A", 600, 400, 100.0, turnable=False, stock=0)
    assert passes(rules(PanelRules((sold_out, B))), [0, 50])
    assert not passes(rules(PanelRules((sold_out, B))), [0.1, 0])


def test_mass_and_budget() -> None:
    heavy = PanelModel("A", 600, 400, 100.0, turnable=False, mass_kg=10.0, price=100.0)
    light = PanelModel("B", 500, 300, 90.0, turnable=False, mass_kg=4.0, price=300.0)
    mass, budget = (
        rules(PanelRules((heavy, light), most_mass_kg=28)),
        rules(PanelRules((heavy, light), budget=700)),
    )
    assert passes(mass, [2, 2])
    assert not passes(mass, [2, 3])
    assert passes(budget, [4, 1])
    assert not passes(budget, [4, 2])


def test_most_models() -> None:
    found = rules(PanelRules((A, B), most_models=1))
    assert passes(found, [5, 0])
    assert passes(found, [0, 5])
    assert not passes(found, [5, 5])
    assert passes(rules(PanelRules((A, B), most_models=2)), [5, 5])


def test_most_models_counts_kept_models() -> None:
    old = (KeptPanel(PanelModel("old", 100, 100, 10.0), "main", 0, 0),)
    assert passes(rules(PanelRules((A, B), most_models=2), kept=old), [5, 0])
    assert not passes(rules(PanelRules((A, B), most_models=2), kept=old), [5, 5])
    assert not passes(rules(PanelRules((A, B), most_models=1), kept=old), [5, 0])
    own = (KeptPanel(A, "main", 0, 0),)
    assert passes(rules(PanelRules((A, B), most_models=1), kept=own), [5, 0])
    assert not passes(rules(PanelRules((A, B), most_models=1), kept=own), [5, 1])


def supply(trackers: int, *options: StringOption) -> Supply:
    return Supply((TrackerClass(CONTROLLER, trackers),), options)


def test_wiring_needs_strings_for_every_panel() -> None:
    found = rules(PanelRules((A, B)), supply(2, StringOption(A, 0, 2, 3)))
    assert passes(found, [12, 0])
    assert not passes(found, [13, 0])
    assert not passes(found, [0, 1])


def test_a_tracker_serves_one_group() -> None:
    one = rules(PanelRules((A, B)), supply(1, StringOption(A, 0, 1, 4), StringOption(B, 0, 1, 4)))
    assert passes(one, [4, 0])
    assert passes(one, [0, 4])
    assert not passes(one, [4, 1])
    assert not passes(one, [1, 1])  # by the families alone: half a tracker each would carry them
    assert passes(one, [1, 1], family=False)


def test_endless_trackers_need_no_families() -> None:
    found = rules(PanelRules((A, B)), supply(UNLIMITED, StringOption(A, 0, 1, 4), StringOption(B, 0, 1, 4)))
    assert Auxiliary(found).families == []
    assert passes(found, [9, 9])


def test_kept_panels_bring_their_watts_when_they_are_wired() -> None:
    own = tuple(KeptPanel(A, "main", 600.0 * i, 0) for i in range(3))
    found = rules(PanelRules((A, B)), supply(1, StringOption(A, 0, 1, 4), StringOption(B, 0, 1, 4)), own)
    assert passes(found, [1, 0], watts=3000)
    assert not passes(found, [1, 0], watts=3001)
    assert passes(found, [2, 0], watts=2000)
    assert not passes(found, [2, 0], watts=2001)
    assert passes(found, [0, 4], watts=0)
    assert not passes(found, [0, 4], watts=1)


def test_column_says_where_a_kind_stands() -> None:
    few = PanelModel("A", 600, 400, 100.0, turnable=False, stock=2, price=7.5)
    found = rules(PanelRules((few, B), budget=100.0))
    aux = Auxiliary(found)
    rows, values = aux.column(0)
    assert (rows.tolist(), values.tolist()) == ([0, 1], [1.0, 750.0])
    rows, values = aux.column(1)
    assert (rows.tolist(), values.tolist()) == ([], [])


@pytest.mark.parametrize("seed", range(300, 316))
def test_rows_stop_nothing_that_is_allowed(seed: int) -> None:
    """The relaxation may be too hopeful, never too strict: all that exhaustive search allows must pass."""
    random = Random(seed)
    job = random_job(random, 100, cells=24)
    chosen = random_supply(random, job, random.randint(1, 4)) if seed % 2 else None
    models = models_of(job)
    kinds = tuple(k for k in kinds_of(job, models) if models[k.model] in job.panels.models)
    found = rules_of(job, models, kinds, chosen)
    possible = ranks(job, 100, chosen)
    for counts in random.sample(sorted(possible), min(12, len(possible))):
        of_kind = [0.0] * len(kinds)
        for number, n in enumerate(counts):
            model = models_on(job)[number]
            own = [i for i, k in enumerate(kinds) if models[k.model] == model]
            if n:
                of_kind[random.choice(own)] = float(n)
        new_w = sum(k.watts * n for k, n in zip(kinds, of_kind, strict=True))
        watts = possible[counts].watts * 10 - new_w if chosen else None
        assert passes(found, of_kind, watts)
