"""What the added mass does, by statics done by hand, and that sums of forces and moments agree."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from vehicle_jobs import BLANK, MAIN, TRAILER, panel, run, trailer, wiring, with_kept

from rooflayout.job import Direction, Facet, Point
from rooflayout.needs import Mounts, Vehicle
from rooflayout.vehicle.balance import balance_of
from rooflayout.yields import Balance, Bearing

WEIGHED = replace(
    TRAILER,
    mass_kg=1500.0,
    most_mass_kg=1800.0,
    coupling_kg=80.0,
    most_coupling_kg=100.0,
    axle_kg=1420.0,
    most_axle_kg=1700.0,
)


def bearing(balance: Balance | None, what: str) -> Bearing:
    assert balance is not None
    (found,) = (b for b in balance.bearings if b.what == what)
    return found


def test_a_trailer_by_hand() -> None:
    """6 kg at 3500, that is 2500 ahead of the axle and 4000 from it to the coupling: 3.75 and 2.25 kg.
    2 kg of controller 500 ahead of the axle: 0.25 and 1.75 kg."""
    balance = balance_of(trailer(WEIGHED), (panel("P1", 3000.0, 0.0),), wiring(("P1",)))
    assert balance is not None
    assert balance.added_kg == 8.0
    assert bearing(balance, "coupling").change_kg == pytest.approx(4.0)
    assert bearing(balance, "axle").change_kg == pytest.approx(4.0)
    assert bearing(balance, "coupling").after_kg == pytest.approx(84.0)
    assert bearing(balance, "vehicle").after_kg == pytest.approx(1508.0)
    assert balance.payload_left_kg == pytest.approx(292.0)
    assert balance.centre_x_mm == pytest.approx((6 * 3500 + 2 * 1500) / 8)
    assert balance.centre_y_mm == pytest.approx((6 * 250 + 2 * 1500) / 8)
    assert balance.lopsided_kg_m == pytest.approx((6 * (250 - 1000) + 2 * (1500 - 1000)) / 1000)


def test_a_panel_behind_the_axle_lifts_the_coupling() -> None:
    """6 kg at 500, 500 behind the axle: -0.75 and 6.75 kg."""
    balance = balance_of(trailer(), (panel("P1", 0.0, 0.0),), None)
    assert bearing(balance, "coupling") == Bearing("coupling", pytest.approx(-0.75))
    assert bearing(balance, "axle") == Bearing("axle", pytest.approx(6.75))


def test_a_motor_vehicle_has_two_axles() -> None:
    """Rear axle at 500, front axle at 3500: 6 kg in the middle between them part evenly."""
    van = Vehicle("motor", axle_x_mm=500.0, front_axle_x_mm=3500.0, axle_kg=900.0, most_front_axle_kg=1200.0)
    balance = balance_of(trailer(van), (panel("P1", 1500.0, 0.0),), None)
    assert bearing(balance, "front axle") == Bearing("front axle", pytest.approx(3.0), None, 1200.0)
    assert bearing(balance, "axle") == Bearing("axle", pytest.approx(3.0), 900.0, None)


def test_a_boat_heels_to_the_heavier_side() -> None:
    """6 kg 750 mm to the right of the middle, 9000 + 6 kg, 0.5 m of metacentric height."""
    boat = Vehicle("boat", displacement_kg=9000.0, metacentric_height_mm=500.0)
    balance = balance_of(trailer(boat), (panel("P1", 0.0, 0.0),), None)
    assert balance is not None
    assert balance.heel_deg == pytest.approx(-57.29578 * 6 * 750 / (9006 * 500), rel=1e-5)
    assert bearing(balance, "vehicle").before_kg == 9000.0
    assert {b.what for b in balance.bearings} == {"vehicle", "roof"}


PLACES = st.lists(
    st.tuples(st.floats(0.0, 3000.0), st.floats(0.0, 1500.0), st.booleans()), min_size=1, max_size=9
)


@given(places=PLACES, pivot=st.floats(-9000.0, 9000.0), axle=st.floats(-1000.0, 3000.0))
def test_forces_and_moments_balance(
    places: list[tuple[float, float, bool]], pivot: float, axle: float
) -> None:
    """About any pivot the two supports hold what all panels, mounts and controllers weigh."""
    slope = Facet("hood", ((0.0, 0.0), (4000.0, 0.0), (4000.0, 2000.0), (0.0, 2000.0)), 30.0, "+x")
    job = trailer(replace(TRAILER, axle_x_mm=axle), MAIN, slope, mounts=Mounts(1.5))
    panels = tuple(
        panel(f"P{i}", x, y, facet="hood" if up else "main") for i, (x, y, up) in enumerate(places)
    )
    runs = (run("R1", "string", "S1", "C1 tracker 1", 5000.0, 6.0),)
    balance = balance_of(job, panels, wiring(tuple(p.panel for p in panels), *runs))
    assert balance is not None
    assert balance.centre_x_mm is not None
    on_coupling, on_axle = (bearing(balance, w).change_kg for w in ("coupling", "axle"))
    assert on_coupling + on_axle == pytest.approx(balance.added_kg)
    held = on_coupling * (5000.0 - pivot) + on_axle * (axle - pivot)
    assert held == pytest.approx(balance.added_kg * (balance.centre_x_mm - pivot), abs=1e-4)


def turned(front: Direction, point: Point) -> Point:
    """A point with x to the front as it is measured where the front lies another way."""
    x, y = point
    return {"+x": (x, y), "+y": (-y, x), "-x": (-x, -y), "-y": (y, -x)}[front]


@pytest.mark.parametrize("front", ["+x", "+y", "-x", "-y"])
def test_the_same_trailer_measured_another_way_weighs_the_same(front: Direction) -> None:
    """Every figure along the vehicle is read on the axis that runs along it, as needs.py says."""
    along = 0 if front in ("+x", "-x") else 1
    facet = replace(MAIN, outline_mm=tuple(turned(front, p) for p in MAIN.outline_mm), front=front)
    home, axle, coupling = (turned(front, p) for p in ((1500.0, 1500.0), (1000.0, 0.0), (5000.0, 0.0)))
    middle = turned(front, (0.0, 900.0))[1 - along]
    vehicle = replace(
        WEIGHED,
        axle_x_mm=axle[along],
        coupling_x_mm=coupling[along],
        middle_y_mm=middle,
        controllers_at_mm=home,
    )
    one, other = turned(front, (3000.0, 0.0)), turned(front, (4000.0, 500.0))
    x0, y0 = min(one[0], other[0]), min(one[1], other[1])
    sides = (abs(one[0] - other[0]), abs(one[1] - other[1]))
    laid = replace(panel("P1", x0, y0), along_x_mm=sides[0], along_y_mm=sides[1])
    balance = balance_of(trailer(vehicle, facet), (laid,), wiring(("P1",)))
    assert balance is not None
    assert bearing(balance, "coupling").change_kg == pytest.approx(4.0)
    assert bearing(balance, "axle").change_kg == pytest.approx(4.0)
    assert balance.lopsided_kg_m == pytest.approx((6 * (250 - 900) + 2 * (1500 - 900)) / 1000)
    assert (balance.centre_x_mm, balance.centre_y_mm) == pytest.approx(turned(front, (3000.0, 562.5)))


def test_the_roof_carries_kept_panels_too() -> None:
    """New 6 + 1.5 and a cable of 2 m; kept 6 + 1.5. Under each 7.5 kg on half a square metre."""
    new, old = panel("P1", 0.0, 0.0), panel("K1", 2000.0, 0.0, kept=True)
    job = with_kept(trailer(replace(TRAILER, most_roof_kg=40.0), mounts=Mounts(1.5)), old)
    cable = run("R1", "string", "S1", "C1 tracker 1", 2000.0, 6.0)
    balance = balance_of(job, (new, old), wiring(("P1", "K1"), cable))
    assert balance is not None
    copper_kg = 2 * 2000 * 6 * 8.89e-6
    assert bearing(balance, "roof") == Bearing("roof", pytest.approx(7.5 + 1.5 * copper_kg), 7.5, 40.0)
    assert balance.roof_kg_m2 == (("P1", 15.0), ("K1", 15.0))
    assert balance.added_kg == pytest.approx(7.5 + 1.5 * copper_kg + 2.0)


def test_what_is_not_known_is_left_out_and_named() -> None:
    old = panel("K1", 2000.0, 0.0, BLANK, kept=True)
    balance = balance_of(with_kept(trailer(), old), (panel("P1", 0.0, 0.0, BLANK), old), wiring(("P1",)))
    assert balance is not None
    assert balance.unknown == ("Blank 90", "kept Blank 90")
    assert balance.roof_kg_m2 == ()
    assert balance.added_kg == 2.0


def test_nothing_known_or_nothing_added_is_no_balance() -> None:
    assert balance_of(trailer(None), (panel("P1", 0.0, 0.0, BLANK),), None) is None
    assert balance_of(trailer(), (), None) is None
    assert balance_of(trailer(), (panel("P1", 0.0, 0.0, BLANK),), None) is not None
    assert balance_of(trailer(None), (panel("P1", 0.0, 0.0),), None) is not None


@pytest.mark.parametrize(
    "vehicle",
    [
        replace(TRAILER, coupling_x_mm=None),
        replace(TRAILER, axle_x_mm=None),
        replace(TRAILER, axle_x_mm=5000.0),
    ],
)
def test_without_two_supports_only_the_whole_is_weighed(vehicle: Vehicle) -> None:
    balance = balance_of(trailer(vehicle), (panel("P1", 0.0, 0.0),), None)
    assert balance is not None
    assert [b.what for b in balance.bearings] == ["vehicle", "roof"]


def test_a_first_facet_that_slopes_to_a_side_has_no_middle() -> None:
    """One side of a gable: the centre line is the user's to give."""
    gable = replace(MAIN, slope_deg=35.0, downhill="-y")
    laid = (panel("P1", 0.0, 0.0),)
    without = balance_of(trailer(TRAILER, gable), laid, None)
    given_ = balance_of(trailer(replace(TRAILER, middle_y_mm=1600.0), gable), laid, None)
    assert without is not None
    assert given_ is not None
    assert without.lopsided_kg_m is None
    level_mm = 250.0 * 0.8191520443  # cos 35°
    assert given_.lopsided_kg_m == pytest.approx(6 * (level_mm - 1600.0) / 1000)
