"""Whatever a plan says, inspection answers with breaches, never with an error."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

from hand_made import FEN, OTTER, UNSTATED, the_good_job, the_good_plan
from hypothesis import given, settings
from hypothesis import strategies as st

from rooflayout.inspection.inspect import Breach, inspect_plan
from rooflayout.job import Controllers, Job, KeptPanel, MountingSpace, PortablePanels
from rooflayout.plan import (
    CableRun,
    ControllerLoad,
    Layout,
    MeterReading,
    Mismatch,
    MountedBox,
    PanelString,
    PlacedPanel,
    Plan,
    PortableString,
    Temperatures,
    Wiring,
)

NUMBERS = st.one_of(st.floats(), st.sampled_from([0, 40, 760, 1400, 1460, 2880, 1e300, -1e300, 5e-324]))
PANEL_NAMES = st.sampled_from(["P1", "P2", "P3", "P4", "K1", "", "C1"])
STRING_NAMES = st.sampled_from(["S1", "S2", "", "P1"])
CONTROLLER_NAMES = st.sampled_from(["C1", "C2", "C99999999999999999999", "", "Otter"])
MODEL_NAMES = st.sampled_from(["Fen", "Reed", "Otter", ""])
FACET_NAMES = st.sampled_from(["main", "rear", ""])


def some(made: type[Any], **drawn: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """Anything of a class: the fields named, every other one any number."""
    return st.builds(made, **{f.name: drawn.get(f.name, NUMBERS) for f in fields(made)})


PANELS = some(
    PlacedPanel,
    panel=PANEL_NAMES,
    facet=FACET_NAMES,
    model=MODEL_NAMES,
    turned=st.booleans(),
    kept=st.booleans(),
)
STRINGS = some(
    PanelString,
    string=STRING_NAMES,
    controller=CONTROLLER_NAMES,
    tracker=st.integers(-3, 10**30),
    facet=FACET_NAMES,
    model=MODEL_NAMES,
    panels=st.lists(PANEL_NAMES, max_size=5).map(tuple),
)
LOADS = some(ControllerLoad, controller=CONTROLLER_NAMES, model=MODEL_NAMES)
TEMPERATURES = some(Temperatures, coldest_source=st.just(""), hottest_source=st.just(""))
RUNS = some(
    CableRun, run=STRING_NAMES, kind=st.sampled_from(["string", "array", "battery"]),
    start=STRING_NAMES | CONTROLLER_NAMES, end=STRING_NAMES, estimated=st.booleans(),
    size_awg=st.sampled_from([None, "10", "4/0", "00", ""]), isolator=st.booleans(), why=st.just(""),
)  # fmt: skip
MISMATCHES = some(
    Mismatch, controller=CONTROLLER_NAMES, tracker=st.integers(-3, 10**30),
    strings=st.lists(STRING_NAMES, max_size=3).map(tuple),
)  # fmt: skip
PORTABLE = some(
    PortableString, name=st.sampled_from(["pair", "", "P1"]), model=MODEL_NAMES, into=MODEL_NAMES,
    own_controller=st.booleans(), in_series=st.integers(-3, 10**30), in_parallel=st.integers(-3, 10**30),
)  # fmt: skip
BOXES = some(MountedBox, controller=CONTROLLER_NAMES)


def several(of: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.lists(of, max_size=3).map(tuple)


WIRINGS = some(
    Wiring,
    strings=st.lists(STRINGS, max_size=4).map(tuple),
    controllers=st.lists(LOADS, max_size=3).map(tuple),
    unwired=st.lists(PANEL_NAMES, max_size=3).map(tuple),
    temperatures=st.one_of(st.just(UNSTATED), TEMPERATURES),
    because=st.just(()),
    runs=several(RUNS),
    readings=several(some(MeterReading, string=STRING_NAMES)),
    mismatch=several(MISMATCHES),
    mounted=st.none() | several(BOXES),
    portable=several(PORTABLE),
    portable_readings=several(some(MeterReading, string=st.sampled_from(["pair", "S1"]))),
)
LAYOUTS = some(
    Layout,
    status=st.sampled_from(["proven", "best found", "nothing fits"]),
    panels=st.lists(st.one_of(PANELS, st.sampled_from(the_good_plan().layout.panels)), max_size=6).map(tuple),
)
PLANS = st.builds(Plan, st.just(""), st.just(""), LAYOUTS, st.one_of(st.none(), WIRINGS))


def jobs() -> list[Job]:
    good = the_good_job()
    assert good.controllers is not None
    choosing = Controllers(good.controllers.catalogue, choose=True)
    good = replace(
        good,
        portable=(PortablePanels("pair", FEN, 2, OTTER, True),),
        mounting_space=MountingSpace(400, 300, 100, 20),
    )
    return [
        good,
        replace(
            good, site=None, controllers=choosing, kept=(KeptPanel(good.panels.models[1], "rear", 0, 0),)
        ),
        replace(good, battery=None, panels=replace(good.panels, most_mass_kg=10, budget=100, most_models=1)),
    ]


@settings(max_examples=400, deadline=None)
@given(st.sampled_from(jobs()), PLANS)
def test_any_plan_is_answered_with_breaches(job: Job, plan: Plan) -> None:
    for breach in inspect_plan(job, plan):
        assert isinstance(breach, Breach)
        assert breach.code
        assert breach.text
