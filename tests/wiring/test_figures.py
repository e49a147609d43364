"""What each controller's charge limit is set down to, so that the battery's is kept. 14.4 V to charge."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from wired_roofs import CATALOGUE, ELM, FIR, GOOSE, MAIN, a_job, a_roof, breaches, temperatures

from rooflayout.job import Battery, ControllerModel, Job, PortablePanels
from rooflayout.wiring import limits
from rooflayout.wiring.figures import roof_battery, settings_a
from rooflayout.wiring.wire import wire

POWER_W = 400.0  # 400 W x 0.97 / 14.4 V = 26.94 A


def battery(most_charge_a: float | None) -> Battery:
    return Battery(12.0, 14.4, most_charge_a=most_charge_a)


def limited(most_charge_a: float, *fitted: ControllerModel) -> Job:
    return a_job(*fitted, battery=battery(most_charge_a))


def test_nothing_to_set_without_a_limit_or_within_it() -> None:
    two = [(FIR, POWER_W), (ELM, POWER_W)]
    assert settings_a(battery(None), two) == (None, None)
    assert settings_a(battery(80.0), two) == (None, None)  # 60 + 20 A
    assert settings_a(battery(60.0), [(FIR, POWER_W), (ELM, 0.0)]) == (None, None)  # Elm charges nothing


def test_spare_current_is_taken_first() -> None:
    """Fir needs 26.94 A of its 60, Elm all its 20: with 70 A Fir is set to 50 and nothing is lost."""
    assert settings_a(battery(70.0), [(FIR, POWER_W), (ELM, POWER_W)]) == (50.0, None)


def test_all_give_way_by_the_same_part_where_the_needs_are_too_much() -> None:
    """26.94 + 20 A against 30 A: 17.22 and 12.78 A, rounded down to tenths."""
    assert settings_a(battery(30.0), [(FIR, POWER_W), (ELM, POWER_W)]) == (17.2, 12.7)


@given(
    st.floats(0.5, 300.0),
    st.lists(st.tuples(st.sampled_from(CATALOGUE), st.sampled_from([0.0, 60.0, 400.0, 1500.0])), min_size=1),
)
def test_settings_never_exceed_the_battery_and_lose_no_more_than_it_takes(
    most_a: float, controllers: list[tuple[ControllerModel, float]]
) -> None:
    of = battery(most_a)
    found = settings_a(of, controllers)
    could = [c.max_charge_a if s is None else s for (c, w), s in zip(controllers, found, strict=True) if w]
    assert sum(could) <= most_a * (1 + 1e-6)
    need = [limits.charge_a(w, c, of) for c, w in controllers if w]
    given_a = sum(min(n, c) for n, c in zip(need, could, strict=True))
    assert given_a >= min(sum(need), most_a) - 0.1 * len(need) - 1e-6
    if sum(need) <= most_a:
        assert given_a == pytest.approx(sum(need))


def test_portable_panels_have_their_part() -> None:
    """Two Goose 200 on an Elm 20: 20 A of the battery's 50."""
    portable = PortablePanels("suitcase", GOOSE, 2, ELM, own_controller=True)
    job = replace(limited(50.0, FIR), portable=(portable,))
    assert roof_battery(job).most_charge_a == pytest.approx(30.0)
    # 20 A are more than 15 A, so the suitcase is not planned and leaves it all
    assert roof_battery(replace(job, battery=battery(15.0))).most_charge_a == 15.0
    assert roof_battery(replace(job, battery=battery(20.0))).most_charge_a == 0.0
    assert roof_battery(replace(job, battery=battery(None))).most_charge_a is None
    with pytest.raises(ValueError, match="no battery"):
        roof_battery(replace(job, battery=None))


def test_what_is_set_down_counts_as_clipped() -> None:
    """800 W want 53.9 A; at 40 A 593.8 W are used, so 206.2 W or 25.8 % are cut off."""
    job, panels = a_roof(limited(40.0, FIR), (GOOSE, 4, MAIN))
    named, wiring = wire(job, temperatures(job), panels)
    (load,) = wiring.controllers
    assert (load.set_a, load.charge_a) == (40.0, 40.0)
    assert load.clipped_w == pytest.approx(800 - 40 * 14.4 / 0.97)
    assert load.clipped_pct == pytest.approx(25.77, abs=0.01)
    assert breaches(job, named, wiring) == []


def test_every_string_states_its_limit() -> None:
    job, panels = a_roof(a_job(FIR), (GOOSE, 4, MAIN))
    _, wiring = wire(job, temperatures(job), panels)
    assert {s.limit_v for s in wiring.strings} == {150.0}
    assert wiring.strings[0].headroom_v == pytest.approx(150.0 - 2 * 26.195, abs=0.01)
