"""Two supports and a floating hull: published examples, and that forces and moments balance."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rooflayout.vehicle.statics import heel_deg, on_supports_kg

# The project's electrical references, checks ball-front, ball-rear and ball-axle (COMPUTED, statics):
# mass, distance ahead of the axle, coupling to axle; then coupling and axle.
TRAILER = [
    (60.0, 1500.0, 4500.0, 20.0, 40.0),
    (60.0, -1200.0, 4500.0, -16.0, 76.0),
    (25.0, 0.0, 4500.0, 0, 25),
]
MM = st.floats(-20_000.0, 20_000.0)


@pytest.mark.parametrize(("kg", "ahead_mm", "length_mm", "coupling_kg", "axle_kg"), TRAILER)
def test_coupling_and_axle_of_a_trailer(
    kg: float, ahead_mm: float, length_mm: float, coupling_kg: float, axle_kg: float
) -> None:
    axle_mm = 700.0
    found = on_supports_kg(kg, axle_mm + ahead_mm, axle_mm + length_mm, axle_mm)
    assert found == pytest.approx((coupling_kg, axle_kg), abs=1e-9)


def test_axles_of_a_motor_vehicle() -> None:
    """Front m (WB - x) / WB and rear m x / WB, x behind the front axle (statics)."""
    kg, wheelbase_mm, behind_mm, front_mm = 48.0, 3600.0, 2700.0, 5000.0
    found = on_supports_kg(kg, front_mm - behind_mm, front_mm, front_mm - wheelbase_mm)
    assert found == pytest.approx((12.0, 36.0))


@given(kg=st.floats(0.0, 500.0), at=MM, one=MM, apart=st.floats(100.0, 12_000.0), pivot=MM)
def test_forces_and_moments_balance(kg: float, at: float, one: float, apart: float, pivot: float) -> None:
    other = one - apart
    on_one, on_other = on_supports_kg(kg, at, one, other)
    assert on_one + on_other == pytest.approx(kg, abs=1e-6)
    moment = on_one * (one - pivot) + on_other * (other - pivot)
    assert moment == pytest.approx(kg * (at - pivot), abs=1e-3)


def test_two_supports_at_one_place_are_none() -> None:
    with pytest.raises(ValueError, match="same place"):
        on_supports_kg(10.0, 0.0, 1000.0, 1000.0)


def test_list_of_a_ship() -> None:
    """6000 t, KM 7.3 m, KG 6.7 m, 60 t moved 12 m across: 11° 18.5' (Derrett, Ship Stability for Masters
    and Mates, example in the chapter on list: from memory)."""
    assert heel_deg(60.0 * 12.0, 6000.0, 7.3 - 6.7) == pytest.approx(11 + 18.5 / 60, abs=0.01)


def test_heel_is_odd_and_falls_with_stability() -> None:
    """A moment to the right heels as much to the right; twice the stability halves the tangent."""
    assert heel_deg(-5e4, 8000.0, 500.0) == -heel_deg(5e4, 8000.0, 500.0)
    assert heel_deg(5e4, 8000.0, 1000.0) == pytest.approx(heel_deg(5e4, 8000.0, 500.0) / 2, rel=1e-3)


@pytest.mark.parametrize(("displacement_kg", "height_mm"), [(0.0, 500.0), (8000.0, 0.0), (8000.0, -10.0)])
def test_a_boat_that_does_not_float_upright(displacement_kg: float, height_mm: float) -> None:
    with pytest.raises(ValueError, match="upright"):
        heel_deg(1.0, displacement_kg, height_mm)
