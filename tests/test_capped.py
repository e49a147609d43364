"""Packing and choosing agree on what a controller may cut off where the battery takes little: enough.py."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from rooflayout import capped
from rooflayout.capped import most_roof_w
from rooflayout.job import (
    Battery,
    ControllerModel,
    Controllers,
    Facet,
    Job,
    KeptPanel,
    PanelModel,
    PanelRules,
    Site,
)
from rooflayout.plan import Plan
from rooflayout.planner import plan_job

BIG = PanelModel("Crane 400", 1000, 1000, 400.0, voc_v=48.0, vmp_v=40.0, isc_a=10.6, imp_a=10.0)
SMALL = PanelModel("Stint 250", 1000, 1000, 250.0, voc_v=48.0, vmp_v=40.0, isc_a=6.6, imp_a=6.25)
# 20 A at 14.4 V are 288 W: 28 % of one Crane is cut off, nothing of one Stint
ROWAN = ControllerModel("Rowan 20", 100, 20, 20, (12.0,), price=90.0)


def roof(length_mm: float, most_charge_a: float | None, **changes: Any) -> Job:
    """One metre deep: a panel a metre."""
    job = Job(
        "shelf",
        (Facet("top", ((0, 0), (length_mm, 0), (length_mm, 1000), (0, 1000))),),
        PanelRules((BIG, SMALL)),
        site=Site(coldest_c=-10, hottest_c=35),
        battery=Battery(12.0, 14.4, most_charge_a=most_charge_a),
        controllers=Controllers((ROWAN,), choose=True, most_clipped_pct=10.0),
    )
    return replace(job, **changes)


def models(plan: Plan) -> list[str]:
    return sorted(p.model for p in plan.layout.panels)


def codes(plan: Plan) -> set[str]:
    return {n.code for n in plan.notes}


@pytest.mark.parametrize("most_charge_a", [None, 100.0])
def test_without_the_batterys_excuse_the_cap_holds(most_charge_a: float | None) -> None:
    plan = plan_job(roof(1000, most_charge_a))
    assert models(plan) == ["Stint 250"]
    assert plan.layout.status == "proven"
    assert any("Crane 400" in n.text for n in plan.notes if n.code == "model-not-wireable")


def test_the_most_watts_where_the_battery_takes_no_more_anyway() -> None:
    """Of 400 W a battery for 20 A takes 288 W, the same as the controller: the chooser minds no cap then.

    In less than full sun the larger panel gives more; the packing once left it off.
    """
    plan = plan_job(roof(1000, 20.0))
    assert models(plan) == ["Crane 400"]
    assert (plan.layout.status, plan.layout.watts) == ("proven", 400.0)
    assert plan.wiring is not None
    assert [c.clipped_w for c in plan.wiring.controllers] == [pytest.approx(400 - 288)]
    assert "model-not-wireable" not in codes(plan)


def test_it_is_the_whole_roof_that_excuses() -> None:
    """For 60 A, 864 W, three Crane of 1200 W lose 28 % to the battery alone, two lose nothing to it."""
    three = plan_job(roof(3000, 60.0))
    assert models(three) == ["Crane 400"] * 3
    assert (three.layout.status, three.layout.watts) == ("proven", 1200.0)
    two = plan_job(roof(2000, 60.0))
    assert models(two) == ["Stint 250"] * 2
    assert (two.layout.status, two.layout.watts) == ("proven", 500.0)


def test_what_the_roof_cannot_hold_excuses_nothing() -> None:
    """By area 2.99 m would hold 1196 W; there is room for two."""
    plan = plan_job(roof(2990, 59.0))
    assert models(plan) == ["Stint 250"] * 2
    assert plan.layout.status == "proven"


def test_the_packing_is_asked_once_where_there_is_nothing_to_excuse(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    real = capped.pack

    def counted(*words: Any) -> Any:
        asked.append(words)
        return real(*words)

    monkeypatch.setattr(capped, "pack", counted)
    plan_job(roof(1000, None))
    plan_job(replace(roof(1000, 20.0), controllers=Controllers((ROWAN,), (ROWAN,))))
    assert len(asked) == 2


def test_where_the_tries_do_not_agree_the_bound_is_the_last_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    """A battery for 697 W: 1196 W by area would excuse Crane (28 %), the 800 W found only Knot (12.7 %), and
    the 660 W found then nothing at all. Stopped after the first try, 800 W are what is known."""
    knot = replace(BIG, model="Knot 330", power_w=330.0, isc_a=8.7, imp_a=8.25)
    job = replace(roof(2990, 48.4), panels=PanelRules((BIG, knot, SMALL)))
    plan = plan_job(job)
    assert models(plan) == ["Stint 250"] * 2
    assert (plan.layout.status, plan.layout.bound_watts) == ("proven", 500.0)
    monkeypatch.setattr(capped, "MOST_TRIES", 1)
    plan = plan_job(job)
    assert models(plan) == ["Stint 250"] * 2
    assert (plan.layout.status, plan.layout.bound_watts) == ("best found", 800.0)


def test_more_than_the_roof_can_hold() -> None:
    """400 W a square metre on 3 m², and a kept Stint."""
    kept = replace(roof(3000, None), kept=(KeptPanel(SMALL, "top", 0.0, 0.0),))
    assert most_roof_w(kept) == pytest.approx(1450.0)
