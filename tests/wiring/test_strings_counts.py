"""How many strings of what on which fitted controller: each preference alone, then against brute force."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from wired_roofs import (
    ASH,
    DUCK,
    ELM,
    FIR,
    FRONT,
    GOOSE,
    HERON,
    MAIN,
    OAK_TWIN,
    PANELS,
    SET,
    SWAN,
    YEW_48,
    a_job,
    a_roof,
    every_preference,
    every_wiring,
    preference,
    temperatures,
)

from rooflayout.job import Battery, Cable, ControllerModel, Facet, Job, PanelModel, PanelRules, WiringRules
from rooflayout.wiring import limits
from rooflayout.wiring.counts import usable_w
from rooflayout.wiring.fitted import load_fitted
from rooflayout.wiring.groups import Counts, Group, NotWirable, groups_of


def loaded(job: Job, *parts: tuple[PanelModel, int, Facet] | tuple[PanelModel, int, Facet, int]) -> Counts:
    job, panels = a_roof(job, *parts)
    return load_fitted(job, temperatures(job), groups_of(job, panels), 10)


def shape(counts: Counts) -> list[tuple[str, list[tuple[int, int, int]]]]:
    """(controller, [(group, in series, in parallel)]) of every controller that carries something."""
    return [
        (c.controller.model, sorted((s.group, s.in_series, s.in_parallel) for x in c.loads for s in x.sorts))
        for c in counts.controllers
    ]


def test_groups_follow_the_facets_and_the_catalogue() -> None:
    job, panels = a_roof(a_job(ELM), (SWAN, 1, FRONT), (GOOSE, 3, MAIN, 1), (DUCK, 2, MAIN))
    assert groups_of(job, panels) == (
        Group("main", DUCK, 2, 0),
        Group("main", GOOSE, 2, 1),
        Group("front slope", SWAN, 1, 0),
    )


def test_groups_follow_the_jobs_facets_whatever_their_names() -> None:
    job, panels = a_roof(a_job(ELM, facets=(FRONT, MAIN)), (GOOSE, 2, MAIN), (GOOSE, 1, FRONT))
    assert [g.facet for g in groups_of(job, panels)] == ["front slope", "main"]


def test_a_panel_that_the_job_does_not_know_is_told() -> None:
    job, panels = a_roof(a_job(ELM), (GOOSE, 2, MAIN))
    with pytest.raises(NotWirable, match="Mystery"):
        groups_of(job, (replace(panels[0], model="Mystery"), panels[1]))
    with pytest.raises(NotWirable, match="attic"):
        groups_of(job, (replace(panels[0], facet="attic"), panels[1]))


def test_below_60_v_before_less_current() -> None:
    """Four Goose 200 as one string would reach 104.8 V; two strings of two stay at 52.4 V."""
    assert shape(loaded(a_job(FIR), (GOOSE, 4, MAIN))) == [("Fir 60", [(0, 2, 2)])]


def test_below_120_v_before_less_current() -> None:
    """Six Heron 150 (49.05 V each): 3 x 2 reach 147 V and 1 x 6 needs six fuses of 20 A, so 2 x 3 at 98 V."""
    assert shape(loaded(a_job(replace(FIR, max_charge_a=100.0)), (HERON, 6, MAIN))) == [
        ("Fir 60", [(0, 2, 3)])
    ]


def test_below_120_v_though_it_takes_fuses_and_below_60_v_only_without() -> None:
    """Fuses from the second string on: 2 x 3 with three rather than 3 x 2 at 147 V with two. Two panels,
    though: 2 x 1 at 98 V rather than 1 x 2 at 49 V with two fuses.
    """
    weak = replace(HERON, max_series_fuse_a=5.0)
    job = a_job(replace(FIR, max_charge_a=100.0))
    job = replace(job, panels=replace(job.panels, models=(weak,)))
    assert shape(loaded(job, (weak, 6, MAIN))) == [("Fir 60", [(0, 2, 3)])]
    assert shape(loaded(job, (weak, 2, MAIN))) == [("Fir 60", [(0, 2, 1)])]


def test_high_voltage_where_the_low_one_would_lose_too_much_in_cable() -> None:
    """Eight Goose 200, 20.4 V and 9.8 A each: 2 x 4 lose 39.2 A x 0.0398 ohm = 1.56 V of 40.8 V, 3.8 %, in
    10 mm² over 8 m; 4 x 2 lose 1.0 %. Over 3 m 2 x 4 lose 1.4 %, and with large series fuses need none.
    """
    rated = replace(GOOSE, max_series_fuse_a=60)
    job = a_job(replace(FIR, max_charge_a=200.0), panels=PanelRules((rated,)))
    assert shape(loaded(job, (rated, 8, MAIN))) == [("Fir 60", [(0, 4, 2)])]
    short = replace(job, cable=Cable(roof_run_mm=2000.0, gland_to_controller_mm=1000.0))
    assert shape(loaded(short, (rated, 8, MAIN))) == [("Fir 60", [(0, 2, 4)])]


def test_the_installers_cap_on_a_string_is_kept() -> None:
    """Four Goose 200 at 24 V are one string of 104.8 V; below 60 V they never reach the battery."""
    rules = WiringRules(most_string_v=60.0)
    assert shape(loaded(a_job(FIR, wiring_rules=rules), (GOOSE, 6, MAIN))) == [("Fir 60", [(0, 2, 3)])]
    assert shape(loaded(a_job(FIR, nominal_v=24.0), (GOOSE, 4, MAIN))) == [("Fir 60", [(0, 4, 1)])]
    with pytest.raises(NotWirable):
        loaded(a_job(FIR, nominal_v=24.0, wiring_rules=rules), (GOOSE, 4, MAIN))


@pytest.mark.parametrize(
    ("nominal_v", "panels", "load"), [(12.0, 4, (0, 2, 2)), (24.0, 6, (0, 3, 2)), (48.0, 10, (0, 10, 1))]
)
def test_batteries_of_12_24_and_48_v(nominal_v: float, panels: int, load: tuple[int, int, int]) -> None:
    """Goose 200, 15.3 V each in the heat: 18.4, 32.8 and 61.6 V take two, three and five in series.

    Two strings of five would both be above 120 V (131 V), so it is one of ten.
    """
    of = replace(FIR, max_pv_v=300.0, max_charge_a=400.0)
    assert shape(loaded(a_job(of, nominal_v=nominal_v), (GOOSE, panels, MAIN))) == [("Fir 60", [load])]


def test_less_current_where_nothing_else_counts() -> None:
    """Four Duck 100, all below 60 V: two strings on two trackers carry half the current squared of 2 x 2."""
    assert shape(loaded(a_job(OAK_TWIN), (DUCK, 4, MAIN))) == [("Oak 30 twin", [(0, 2, 1), (0, 2, 1)])]


def test_two_trackers_of_short_strings_rather_than_one_of_long_ones() -> None:
    """Six Heron 150: three alone on each tracker stay below 60 V."""
    assert shape(loaded(a_job(OAK_TWIN), (HERON, 6, MAIN))) == [("Oak 30 twin", [(0, 1, 3), (0, 1, 3)])]


def test_little_clipped_counts_before_long_series() -> None:
    """Four Duck 100 as one string on Elm 20 would clip 103 W; two strings of two on both clip nothing."""
    assert shape(loaded(a_job(ELM, ELM), (DUCK, 4, MAIN))) == [
        ("Elm 20", [(0, 2, 1)]),
        ("Elm 20", [(0, 2, 1)]),
    ]


def test_no_fuses_counts_before_less_current() -> None:
    """Six strings on two trackers: 3 and 3 carry less current squared, of 2 and 4 only four need fuses."""
    unrated = replace(HERON, max_series_fuse_a=None)
    job = a_job(replace(OAK_TWIN, max_pv_isc_a=40.0))
    job = replace(job, panels=replace(job.panels, models=(unrated,)))
    assert shape(loaded(job, (unrated, 12, MAIN))) == [("Oak 30 twin", [(0, 2, 2), (0, 2, 4)])]


def alike_only(job: Job) -> Job:
    """The job with a front that looks elsewhere than the main roof, and no loss between strings allowed."""
    facets = (MAIN, replace(FRONT, downhill="+x"))
    return replace(job, facets=facets, wiring_rules=replace(job.wiring_rules, most_mismatch_pct=0.0))


def test_a_string_has_panels_of_one_model_on_one_facet() -> None:
    counts = loaded(a_job(FIR, ELM), (GOOSE, 2, MAIN), (GOOSE, 2, FRONT))
    assert shape(counts) == [("Fir 60", [(0, 2, 1)]), ("Elm 20", [(1, 2, 1)])]
    with pytest.raises(NotWirable, match=r"2 Goose 200 on main, 2 Goose 200 on front slope.*Fir 60"):
        loaded(alike_only(a_job(FIR)), (GOOSE, 2, MAIN), (GOOSE, 2, FRONT))


def test_two_groups_share_a_tracker_where_there_is_none_for_each() -> None:
    """Strings of one model on two facets lose next to nothing; two panels beside three lose much."""
    counts = loaded(a_job(FIR), (GOOSE, 2, MAIN), (GOOSE, 2, FRONT))
    assert shape(counts) == [("Fir 60", [(0, 2, 1), (1, 2, 1)])]
    with pytest.raises(NotWirable):
        loaded(a_job(FIR), (GOOSE, 2, MAIN), (DUCK, 3, FRONT))


def test_the_charge_limit_is_the_controllers_and_not_the_trackers() -> None:
    """Oak 30 twin uses 445 W in all: two trackers of 400 W clip 355 W, so the Elm 20 takes one of them."""
    counts = loaded(a_job(OAK_TWIN, ELM), (GOOSE, 2, MAIN), (GOOSE, 2, FRONT))
    assert sorted(name for name, _ in shape(counts)) == ["Elm 20", "Oak 30 twin"]


def test_the_input_limits_are_each_trackers() -> None:
    """Eight Heron 150: a tracker of 20 A takes three strings of 5.2 A, so both are needed. Three strings
    above 60 V beside two below, rather than four above.
    """
    assert shape(loaded(a_job(OAK_TWIN), (HERON, 8, MAIN))) == [("Oak 30 twin", [(0, 1, 2), (0, 2, 3)])]
    with pytest.raises(NotWirable):
        loaded(a_job(OAK_TWIN), (HERON, 14, MAIN))


def test_a_kept_panel_stays_off_when_there_is_no_room_for_it() -> None:
    counts = loaded(a_job(ELM), (GOOSE, 4, MAIN, 1))  # three in series are 78.6 V; four are too many
    assert shape(counts) == [("Elm 20", [(0, 3, 1)])]
    assert counts.unwired == (1,)


def test_a_kept_panel_is_wired_where_it_can_be_even_though_watts_are_clipped() -> None:
    counts = loaded(a_job(ELM), (GOOSE, 3, MAIN, 1))
    assert shape(counts) == [("Elm 20", [(0, 3, 1)])]
    assert counts.unwired == (0,)


def test_a_new_panel_left_over_is_not_wirable() -> None:
    with pytest.raises(NotWirable, match="4 Goose 200 on main cannot all be wired onto Elm 20"):
        loaded(a_job(ELM), (GOOSE, 4, MAIN))
    with pytest.raises(NotWirable, match="onto Yew 80"):
        loaded(a_job(YEW_48), (GOOSE, 2, MAIN))  # a 48 V controller on a 12 V battery


def test_of_equal_wirings_the_first_controller_carries_the_most() -> None:
    counts = loaded(a_job(FIR, replace(FIR, model="Fir 60 b")), (GOOSE, 2, MAIN), (SWAN, 2, FRONT))
    assert shape(counts)[0] == ("Fir 60", [(1, 2, 1)])


def test_usable_watts_are_where_clipping_begins() -> None:
    battery = a_job(ELM).battery
    assert battery is not None
    for of in (ASH, ELM, OAK_TWIN, FIR):
        assert limits.clipped_w(usable_w(of, battery), of, battery) == pytest.approx(0.0, abs=1e-9)
        assert limits.clipped_w(usable_w(of, battery) + 1.0, of, battery) == pytest.approx(1.0)


GROUP = st.tuples(
    st.sampled_from(PANELS), st.sampled_from(["main", "front slope"]), st.integers(0, 4), st.integers(0, 2)
)
TWO_TRACKERS = st.one_of(
    st.just((OAK_TWIN,)), st.lists(st.sampled_from((ASH, ELM, FIR)), min_size=1, max_size=2).map(tuple)
)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(GROUP, min_size=1, max_size=2, unique_by=lambda g: g[:2]),
    TWO_TRACKERS,
    st.sampled_from([12.0, 24.0]),
)
def test_exhaustive_search_agrees(
    groups: list[tuple[PanelModel, str, int, int]], fitted: tuple[ControllerModel, ...], nominal_v: float
) -> None:
    """Up to six panels a group on two trackers: wirable or not, kept watts left off, watts clipped."""
    job = alike_only(a_job(*fitted, nominal_v=nominal_v))
    own = tuple(Group(facet, model, new, kept) for model, facet, new, kept in groups)
    best = min(((off, cut) for off, cut, _ in every_wiring(job, fitted, groups)), default=None)
    try:
        counts = load_fitted(job, temperatures(job), own, 10)
    except NotWirable:
        assert best is None
        return
    assert best is not None
    assert job.battery is not None
    cut_w = 0.0
    for c in counts.controllers:
        power_w = sum(s.panels * own[s.group].model.power_w for x in c.loads for s in x.sorts)
        cut_w += limits.clipped_w(power_w, c.controller, job.battery)
    off_w = sum(n * g.model.power_w for n, g in zip(counts.unwired, own, strict=True))
    assert off_w == pytest.approx(best[0])
    assert cut_w == pytest.approx(best[1], abs=0.01)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(GROUP, min_size=1, max_size=2, unique_by=lambda g: g[:2]),
    TWO_TRACKERS,
    st.sampled_from([12.0, 24.0, 48.0]),
    st.sampled_from([None, 25.0, 45.0]),
    st.sampled_from([None, 60.0, 100.0]),
)
def test_the_order_of_preference_is_kept(
    groups: list[tuple[PanelModel, str, int, int]],
    fitted: tuple[ControllerModel, ...],
    nominal_v: float,
    most_charge_a: float | None,
    most_string_v: float | None,
) -> None:
    """No wiring that there is comes before the one found, by figures worked out anew in wired_roofs."""
    battery = Battery(nominal_v, SET[nominal_v], most_charge_a=most_charge_a)
    job = a_job(*fitted, nominal_v=nominal_v, battery=battery, wiring_rules=WiringRules(most_string_v))
    job = alike_only(job)
    own = tuple(Group(facet, model, new, kept) for model, facet, new, kept in groups)
    best = min(every_preference(job, fitted, groups), default=None)
    try:
        counts = load_fitted(job, temperatures(job), own, 10)
    except NotWirable:
        assert best is None
        return
    of = [
        (c.controller, [(s.group, s.in_series, s.in_parallel) for x in c.loads for s in x.sorts])
        for c in counts.controllers
    ]
    assert preference(job, fitted, groups, of) == best
