"""Limits of vehicle and roof: kept to the hair, and passed by one."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from planned_examples import EXAMPLES, balance_of, planned

from rooflayout.inspection.vehicle_limits import passed_limits
from rooflayout.job import Job


def trailer(**limits: Any) -> Job:
    job, _ = planned("ringing-trailer")
    assert job.vehicle is not None
    return replace(job, vehicle=replace(job.vehicle, **limits))


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_examples_keep_to_their_limits(name: str) -> None:
    assert passed_limits(*planned(name)) == []


@pytest.mark.parametrize(
    ("what", "key"),
    [
        ("coupling", "most_coupling_kg"),
        ("axle", "most_axle_kg"),
        ("vehicle", "most_mass_kg"),
        ("roof", "most_roof_kg"),
    ],
)
def test_each_load(what: str, key: str) -> None:
    plan = planned("ringing-trailer")[1]
    (bearing,) = [b for b in balance_of(plan).bearings if b.what == what]
    assert bearing.after_kg is not None
    assert passed_limits(trailer(**{key: bearing.after_kg}), plan) == []
    (breach,) = passed_limits(trailer(**{key: bearing.after_kg - 0.01}), plan)
    assert (breach.code, breach.where) == ("over-limit", what)
    assert passed_limits(trailer(**{key: None}), plan) == []


def test_under_a_panel_and_left_against_right() -> None:
    plan = planned("ringing-trailer")[1]
    balance = balance_of(plan)
    heaviest = max(kg for _, kg in balance.roof_kg_m2)
    assert passed_limits(trailer(most_roof_kg_m2=heaviest), plan) == []
    assert {b.where for b in passed_limits(trailer(most_roof_kg_m2=heaviest - 0.01), plan)} == {
        panel for panel, kg in balance.roof_kg_m2 if kg == heaviest
    }
    assert balance.lopsided_kg_m is not None
    size = abs(balance.lopsided_kg_m)
    assert passed_limits(trailer(most_lopsided_kg_m=size), plan) == []
    (breach,) = passed_limits(trailer(most_lopsided_kg_m=size - 0.01), plan)
    assert breach.where == "left against right"


def test_a_lifted_coupling() -> None:
    plan = planned("ringing-trailer")[1]
    balance = balance_of(plan)
    coupling, *others = balance.bearings
    assert coupling.what == "coupling"
    assert coupling.before_kg is not None
    for change_kg, found in ((-coupling.before_kg, []), (-coupling.before_kg - 1.0, ["coupling"])):
        bearings = (replace(coupling, change_kg=change_kg), *others)
        lifted = replace(plan, balance=replace(balance, bearings=bearings))
        assert [b.where for b in passed_limits(trailer(), lifted)] == found
