"""The cheapest controllers: each rule by a small case, then against trying every set of up to three."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
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
    SWAN,
    YEW_48,
    a_job,
    a_roof,
    controller,
    every_wiring,
    temperatures,
)

from rooflayout.job import (
    ControllerModel,
    Controllers,
    Facet,
    Job,
    MountingSpace,
    PanelModel,
    WiringRules,
)
from rooflayout.wiring import limits
from rooflayout.wiring.choose import choose_controllers
from rooflayout.wiring.groups import Counts, Group, NotWirable, groups_of
from rooflayout.wiring.options import MOST_CONTROLLERS

Part = tuple[PanelModel, int, Facet] | tuple[PanelModel, int, Facet, int]


def chosen(job: Job, *parts: Part) -> Counts:
    job, panels = a_roof(job, *parts)
    return choose_controllers(job, temperatures(job), groups_of(job, panels), 10)


def names(counts: Counts) -> list[str]:
    return sorted(c.controller.model for c in counts.controllers)


def with_catalogue(*catalogue: ControllerModel, cap_pct: float = 10.0, nominal_v: float = 12.0) -> Job:
    return replace(a_job(nominal_v=nominal_v), controllers=Controllers(catalogue, (), True, cap_pct))


def clipped_pct(job: Job, counts: Counts, groups: tuple[Group, ...]) -> list[float]:
    assert job.battery is not None
    found = []
    for c in counts.controllers:
        power_w = sum(s.panels * groups[s.group].model.power_w for x in c.loads for s in x.sorts)
        found.append(100 * limits.clipped_w(power_w, c.controller, job.battery) / power_w)
    return found


def test_the_cheapest_one_that_is_large_enough() -> None:
    assert names(chosen(a_job(), (DUCK, 3, MAIN))) == ["Elm 20"]  # 300 W; Elm uses 297 W
    assert names(chosen(a_job(), (GOOSE, 4, MAIN))) == ["Fir 60"]  # 800 W; two twins would cost 410


def test_two_small_ones_where_they_cost_less_than_a_large_one() -> None:
    dear = replace(FIR, price=500.0)
    assert names(chosen(with_catalogue(OAK_TWIN, dear), (GOOSE, 4, MAIN))) == ["Oak 30 twin", "Oak 30 twin"]


def test_a_twin_serves_two_facets() -> None:
    """Two strings of 200 W: a twin for 205 rather than two Elm 20 for 236."""
    counts = chosen(a_job(), (DUCK, 2, MAIN), (DUCK, 2, FRONT))
    assert [(c.controller.model, len(c.loads)) for c in counts.controllers] == [("Oak 30 twin", 2)]


def test_the_cap_is_the_controllers_and_not_the_trackers() -> None:
    """Two strings of 400 W are 800 W on a twin that uses 445 W: each tracker alone would do."""
    counts = chosen(a_job(), (GOOSE, 2, MAIN), (GOOSE, 2, FRONT))
    assert names(counts) == ["Oak 30 twin", "Oak 30 twin"]


def test_a_looser_cap_is_cheaper() -> None:
    catalogue = (ELM, FIR)
    assert names(chosen(with_catalogue(*catalogue), (GOOSE, 2, MAIN))) == ["Fir 60"]
    assert names(chosen(with_catalogue(*catalogue, cap_pct=26.0), (GOOSE, 2, MAIN))) == ["Elm 20"]  # 25.8 %


@pytest.mark.parametrize("turned", [False, True])
def test_of_equally_cheap_ones_the_one_that_clips_less(turned: bool) -> None:
    pair = [replace(ELM, model="Less", max_charge_a=21.0), replace(ELM, model="More")]
    assert names(chosen(with_catalogue(*(pair[::-1] if turned else pair)), (HERON, 2, MAIN))) == ["Less"]


@pytest.mark.parametrize("turned", [False, True])
def test_of_equally_cheap_ones_that_clip_alike_the_fewest(turned: bool) -> None:
    """Though two halves with a string each would carry less current squared than the whole with both."""
    half = replace(ELM, model="Half", max_charge_a=30.0, price=50.0)
    pair = [half, replace(ELM, model="Whole", max_charge_a=60.0, price=100.0)]
    assert names(chosen(with_catalogue(*(pair[::-1] if turned else pair)), (HERON, 4, MAIN))) == ["Whole"]


def test_without_prices_the_fewest_then_the_smallest() -> None:
    blank = [replace(c, price=None) for c in (FIR, replace(FIR, model="Fir 100", max_charge_a=100.0), ELM)]
    assert names(chosen(with_catalogue(*blank), (GOOSE, 4, MAIN))) == ["Fir 60"]
    assert names(chosen(with_catalogue(*blank), (GOOSE, 6, MAIN))) == ["Fir 100"]  # rather than two Fir 60


def test_prices_that_are_partly_blank_count_as_none() -> None:
    some = (replace(FIR, price=None), replace(ELM, price=10.0))
    assert names(chosen(with_catalogue(*some), (DUCK, 4, MAIN))) == ["Fir 60"]


def test_kept_panels_are_wired_as_well() -> None:
    counts = chosen(a_job(), (GOOSE, 4, MAIN, 2))
    assert counts.unwired == (0,)
    assert sum(s.panels for c in counts.controllers for x in c.loads for s in x.sorts) == 4


def test_a_kept_panel_that_no_string_takes_stays_off() -> None:
    counts = chosen(a_job(), (DUCK, 2, MAIN), (GOOSE, 1, FRONT, 1))  # one Goose gives 15 V in the heat
    assert counts.unwired == (0, 1)


def test_nothing_but_kept_panels_that_cannot_be_wired_needs_no_controller() -> None:
    assert chosen(a_job(), (GOOSE, 1, FRONT, 1)) == Counts((), (1,))


def test_the_cap_is_dropped_where_no_set_keeps_it_and_the_least_is_clipped() -> None:
    """A Swan 400 alone on Ash or Elm clips 63 % or 26 %: Elm, though Ash is cheaper."""
    job = with_catalogue(ASH, replace(ELM, max_charge_a=20.0))
    hot = replace(SWAN, isc_a=9.0)  # within the 13 A and 25 A of both
    job = replace(job, panels=replace(job.panels, models=(hot,)))
    counts = chosen(job, (hot, 1, MAIN))
    assert names(counts) == ["Elm 20"]
    assert clipped_pct(job, counts, (Group("main", hot, 1, 0),)) == [pytest.approx(25.8, abs=0.1)]


def test_more_than_twelve_only_where_twelve_cannot_carry_the_panels() -> None:
    lone = controller("Lone", 50, 6, 20, price=50.0)  # one Heron 150 and no more
    twelve = chosen(with_catalogue(lone), (HERON, MOST_CONTROLLERS, MAIN))
    assert len(twelve.controllers) == MOST_CONTROLLERS
    other = replace(lone, model="Other", price=60.0)
    many = chosen(with_catalogue(lone, other), (HERON, MOST_CONTROLLERS + 2, MAIN))
    assert names(many) == ["Lone"] * (MOST_CONTROLLERS + 2)


def test_what_no_controller_takes_is_told() -> None:
    with pytest.raises(NotWirable, match="No controllers of the catalogue can carry 1 Goose 200 on main"):
        chosen(a_job(), (GOOSE, 1, MAIN))
    with pytest.raises(NotWirable):
        chosen(with_catalogue(YEW_48), (GOOSE, 2, MAIN))


def test_fewer_controllers_count_before_less_clipped() -> None:
    """Two halves of 10.5 A use 155.9 W each and clip nothing, the whole clips 1.0 % (296.9 W of 300 W); they
    cost the same.
    """
    half = replace(ELM, model="Half", price=50.0, max_charge_a=10.5)
    whole = replace(ELM, model="Whole", price=100.0)
    assert names(chosen(with_catalogue(half, whole), (HERON, 2, MAIN))) == ["Whole"]
    assert names(chosen(with_catalogue(half, replace(whole, price=101.0)), (HERON, 2, MAIN))) == ["Half"] * 2


@pytest.mark.parametrize("turned", [False, True])
def test_of_equally_cheap_ones_that_clip_alike_the_lightest(turned: bool) -> None:
    pair = [replace(FIR, model="Light", mass_kg=2.9), replace(FIR, model="Heavy", mass_kg=3.0)]
    pair = pair[::-1] if turned else pair
    assert names(chosen(with_catalogue(*pair), (GOOSE, 4, MAIN))) == ["Light"]


def test_price_counts_before_mass_and_clipping() -> None:
    dear = replace(FIR, model="Dear", max_charge_a=80.0, mass_kg=1.0, price=399.0)
    assert names(chosen(with_catalogue(dear, replace(FIR, mass_kg=3.0)), (GOOSE, 4, MAIN))) == ["Fir 60"]


def with_space(job: Job, width_mm: float, height_mm: float, depth_mm: float = 100.0) -> Job:
    return replace(job, mounting_space=MountingSpace(width_mm, height_mm, depth_mm, 10.0))


def sized(
    model: ControllerModel, length_mm: float, width_mm: float, height_mm: float = 80.0
) -> ControllerModel:
    return replace(model, length_mm=length_mm, width_mm=width_mm, height_mm=height_mm)


def test_a_set_that_fits_the_space_before_a_cheaper_one_that_does_not() -> None:
    """A Fir of 250 x 190 mm for 398, or two twins of 186 x 148 mm for 410."""
    job = with_catalogue(sized(FIR, 250, 190), sized(OAK_TWIN, 186, 148))
    assert names(chosen(with_space(job, 270, 210), (GOOSE, 4, MAIN))) == ["Fir 60"]
    assert names(chosen(with_space(job, 420, 170), (GOOSE, 4, MAIN))) == ["Oak 30 twin", "Oak 30 twin"]
    assert names(chosen(with_space(job, 270, 210, 70.0), (GOOSE, 4, MAIN))) == ["Fir 60"]  # neither fits


def test_a_set_that_fits_though_it_clips_more_than_the_cap() -> None:
    """An Elm 20 clips a quarter of 400 W, where 10 % are the cap, but the Fir does not fit."""
    job = with_catalogue(sized(FIR, 250, 190), sized(ELM, 132, 118))
    assert names(chosen(with_space(job, 160, 140), (GOOSE, 2, MAIN))) == ["Elm 20"]
    assert names(chosen(with_space(job, 300, 300), (GOOSE, 2, MAIN))) == ["Fir 60"]


def test_sets_that_do_not_fit_together_are_passed_over() -> None:
    """A Wide and a Tall for 448 would do; each fits the space by itself and twice over, but not the two
    together. Of the sets that fit, one for both facets costs 500 and two Firs 796.
    """
    wide, tall = sized(replace(ELM, model="Wide", price=50.0), 200, 60), sized(FIR, 60, 200)
    one = replace(wide, model="Both", price=500.0, trackers=2, max_charge_a=60.0, length_mm=100.0)
    job = with_space(with_catalogue(wide, tall, one), 220, 220)
    counts = chosen(job, (DUCK, 2, MAIN), (GOOSE, 2, FRONT))
    assert names(counts) == ["Both"]
    roomy = with_space(job, 500, 500)
    assert names(chosen(roomy, (DUCK, 2, MAIN), (GOOSE, 2, FRONT))) == ["Fir 60", "Wide"]


def test_a_set_whose_sizes_are_known_to_fit_before_one_with_blank_sizes() -> None:
    job = with_catalogue(replace(FIR, model="Bare", price=1.0), sized(FIR, 250, 190))
    assert names(chosen(with_space(job, 270, 210), (GOOSE, 4, MAIN))) == ["Fir 60"]
    assert names(chosen(with_space(job, 100, 100), (GOOSE, 4, MAIN))) == ["Bare"]


def with_battery(job: Job, most_charge_a: float) -> Job:
    assert job.battery is not None
    return replace(job, battery=replace(job.battery, most_charge_a=most_charge_a))


@pytest.mark.parametrize("turned", [False, True])
def test_a_set_within_the_batterys_charge_limit_before_one_that_is_to_be_set_down(turned: bool) -> None:
    pair = [replace(FIR, model="Large", max_charge_a=80.0), replace(FIR, model="Small")]
    job = with_catalogue(*(pair[::-1] if turned else pair))
    assert names(chosen(with_battery(job, 60.0), (GOOSE, 4, MAIN))) == ["Small"]


def test_charge_current_beyond_the_batterys_limit_is_not_bought() -> None:
    """400 W want 27 A. At 20 A in all an Elm 20 charges as much as a Fir 60, and costs less; where the
    battery takes a little more, it does not, and cuts off 26 %.
    """
    job = with_catalogue(FIR, ELM)
    assert names(chosen(job, (GOOSE, 2, MAIN))) == ["Fir 60"]
    assert names(chosen(with_battery(job, 20.0), (GOOSE, 2, MAIN))) == ["Elm 20"]
    assert names(chosen(with_battery(job, 20.5), (GOOSE, 2, MAIN))) == ["Fir 60"]
    assert names(chosen(with_battery(job, 20.5), (GOOSE, 2, MAIN), (GOOSE, 1, FRONT, 1))) == ["Fir 60"]


def test_what_the_battery_cannot_take_costs_no_panel() -> None:
    """The battery takes nothing to speak of, and yet every panel is wired, within the inputs' limits."""
    job = with_battery(with_catalogue(FIR, ELM), 1.0)
    for count in range(2, 9, 2):
        counts = chosen(job, (GOOSE, count, MAIN))
        assert sum(s.panels for c in counts.controllers for x in c.loads for s in x.sorts) == count
        assert counts.unwired == (0,)


def test_the_installers_cap_holds_when_choosing() -> None:
    job = replace(with_catalogue(FIR, nominal_v=24.0), wiring_rules=WiringRules(most_string_v=80.0))
    counts = chosen(job, (GOOSE, 6, MAIN))
    assert [s.in_series for c in counts.controllers for x in c.loads for s in x.sorts] == [3]


SMALL = (ASH, ELM, OAK_TWIN, FIR)
GROUP = st.tuples(
    st.sampled_from(PANELS), st.sampled_from(["main", "front slope"]), st.integers(0, 4), st.integers(0, 1)
)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(GROUP, min_size=1, max_size=2, unique_by=lambda g: g[:2]),
    st.sampled_from([12.0, 24.0]),
    st.sampled_from([5.0, 10.0, 25.0]),
)
def test_every_set_of_up_to_three_agrees(
    groups: list[tuple[PanelModel, str, int, int]], nominal_v: float, cap_pct: float
) -> None:
    """Price, number and watts clipped are those of the best of all sets within the cap."""
    job = with_catalogue(*SMALL, cap_pct=cap_pct, nominal_v=nominal_v)
    own = tuple(Group(facet, model, new, kept) for model, facet, new, kept in groups)
    sets = itertools.chain.from_iterable(
        itertools.combinations_with_replacement(SMALL, size) for size in range(4)
    )
    tried = [
        (off, sum(c.price or 0.0 for c in of), len(of), cut)
        for of in sets
        for off, cut, shares in every_wiring(job, of, groups)
        if all(share <= cap_pct + 1e-9 for share in shares)
    ]
    assume(tried)
    best = min(tried)
    counts = choose_controllers(job, temperatures(job), own, 10)
    price = sum(c.controller.price or 0.0 for c in counts.controllers)
    off_w = sum(n * g.model.power_w for n, g in zip(counts.unwired, own, strict=True))
    assert (off_w, price) <= (best[0] + 1e-6, best[1] + 1e-6)
    assert all(share <= cap_pct + 1e-6 for share in clipped_pct(job, counts, own))
    if len(counts.controllers) <= 3:
        assert job.battery is not None
        cut_w = sum(
            limits.clipped_w(
                sum(s.panels * own[s.group].model.power_w for x in c.loads for s in x.sorts),
                c.controller,
                job.battery,
            )
            for c in counts.controllers
        )
        assert (off_w, price, len(counts.controllers), cut_w) == pytest.approx(best, abs=0.01)
