"""Portable panels plugged into a controller of their own or the vehicle charger's solar input."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rooflayout.job import Battery, ControllerModel, Facet, Job, PanelModel, PanelRules, PortablePanels, Site
from rooflayout.plan import Temperatures
from rooflayout.wiring.figures import roof_battery
from rooflayout.wiring.limits import low_charge_a
from rooflayout.wiring.portable import in_free_air, joining, planned, portable_notes, portable_strings
from rooflayout.wiring.temperatures import design_temperatures

# invented
FOLDING = PanelModel(
    "Folding", 1100, 540, 110, voc_v=24.0, vmp_v=20.0, isc_a=5.9, imp_a=5.5,
    voc_pct_per_k=-0.3, isc_pct_per_k=0.05, power_pct_per_k=-0.35,
)  # fmt: skip
CHARGER = ControllerModel("Vehicle charger", 35, 30, 15, (12.0,), start_above_battery_v=0)
BATTERY = Battery(12, 14.4)
MILD = design_temperatures(Site(coldest_c=0, hottest_c=25))


def portable(count: int, controller: ControllerModel = CHARGER) -> PortablePanels:
    return PortablePanels("picnic set", FOLDING, count, controller, own_controller=False)


def joined(own: PortablePanels, temperatures: Temperatures = MILD, cap_v: float | None = None) -> object:
    return joining(own, BATTERY, temperatures, cap_v)


def test_in_parallel_where_two_in_series_are_too_many_volts() -> None:
    """24 V * (1 + 0.003 * 25) = 25.8 V at 0 °C; two would have 51.6 V of 35 V; 1.25 * 5.9 A * 2 = 14.75 A."""
    assert joined(portable(2)) == (1, 2)


def test_in_series_where_the_input_stands_it() -> None:
    assert joined(portable(2, replace(CHARGER, max_pv_v=60))) == (2, 1)


def test_below_60_v_rather_than_less_current() -> None:
    """Four in series would have 103 V; two in series, two in parallel stay at 51.6 V."""
    assert joined(portable(4, replace(CHARGER, max_pv_v=150))) == (2, 2)


def test_above_60_v_where_current_leaves_no_other_way() -> None:
    assert joined(portable(3, replace(CHARGER, max_pv_v=150, max_pv_isc_a=8))) == (3, 1)


def test_the_cap_on_string_voltage_holds_for_them_too() -> None:
    assert joined(portable(3, replace(CHARGER, max_pv_v=150, max_pv_isc_a=8)), cap_v=60) is None


@pytest.mark.parametrize(
    ("own", "said"),
    [
        # 5 * 7.375 A is above 30 A, and 5 is a prime
        (
            portable(5),
            "5 panels make no equal strings of 1 in series, at most 4 in parallel, which is what its limits "
            "of 35 V and 30 A and the battery's 14.4 V allow.",
        ),
        (
            portable(1, replace(CHARGER, max_pv_v=60, start_above_battery_v=8)),
            "1 panel makes no equal strings of 2 in series",  # 14.9 V each in the heat, 22.4 V needed
        ),
        (portable(1, replace(CHARGER, battery_v=(24.0,))), "nominally 12 V"),
        (portable(1, replace(CHARGER, max_pv_v=20)), "5.8 V above the 20 V"),
    ],
)
def test_what_cannot_be_taken_is_told(own: PortablePanels, said: str) -> None:
    job = job_of(own)
    assert portable_strings(job, MILD) == ()
    (note,) = portable_notes(job, MILD)
    assert (note.severity, note.code) == ("warning", "portable-not-taken")
    assert said in note.text


def test_every_reason_says_something() -> None:
    """Whatever is not taken, and why: never a sentence without a figure."""
    for count in range(1, 8):
        for charger in (
            CHARGER,
            replace(CHARGER, max_pv_v=20),
            replace(CHARGER, max_pv_isc_a=5),
            replace(CHARGER, battery_v=(24.0,)),
            replace(CHARGER, max_pv_v=60, start_above_battery_v=8),
            replace(CHARGER, max_pv_v=40, start_above_battery_v=30),
        ):
            for one in planned(job_of(portable(count, charger)), MILD):
                assert one.taken == (one.reason == "")
                assert one.taken or any(c.isdigit() for c in one.reason), one.reason
                assert one.taken or one.reason.endswith(".")


def test_a_battery_takes_the_first_ones() -> None:
    """15 A each (220 W / 14.4 V is 15.3 A); a battery of 20 A has nothing left for the second."""
    first, second = portable(2), replace(portable(2), name="beach set")
    job = replace(job_of(first), portable=(first, second))
    assert [s.name for s in portable_strings(job, MILD)] == ["picnic set", "beach set"]
    job = replace(job, battery=replace(BATTERY, most_charge_a=20.0))
    assert [s.name for s in portable_strings(job, MILD)] == ["picnic set"]
    said = [n.text for n in portable_notes(job, MILD) if n.code == "portable-not-taken"]
    assert said == [
        "beach set: Vehicle charger cannot take 2 x Folding. It would charge with up to 15.0 A; the "
        "battery takes 20 A at most, 15.0 A of it go to the portable panels before it."
    ]
    job = replace(job, battery=replace(BATTERY, most_charge_a=30.0))
    assert len(portable_strings(job, MILD)) == 2


def test_a_low_battery_is_charged_with_more() -> None:
    """110 W: 7.64 A at 14.4 V, 9.17 A at 12 V (by hand), and never more than the charger's limit."""
    job = replace(job_of(portable(1)), battery=replace(BATTERY, most_charge_a=9.1))
    assert portable_strings(job, MILD) == ()
    job = replace(job, battery=replace(BATTERY, most_charge_a=9.2))
    (string,) = portable_strings(job, MILD)
    assert string.charge_a == pytest.approx(110 / 14.4)
    assert low_charge_a(110, CHARGER, BATTERY) == pytest.approx(110 / 12)
    assert low_charge_a(220, CHARGER, BATTERY) == 15.0
    assert roof_battery(job).most_charge_a == pytest.approx(9.2 - 110 / 12)


def test_cells_in_free_air_are_cooler_than_those_on_a_roof() -> None:
    """25 °C and 1000 W/m² * exp(-3.47 - 0.0594) + 3 K: King and others 2004, SAND2004-3535, open rack."""
    free = in_free_air(MILD)
    assert free.hottest_cell_c == pytest.approx(57.32, abs=0.01)
    assert free.hottest_cell_c < MILD.hottest_cell_c
    assert replace(free, hottest_cell_c=MILD.hottest_cell_c) == MILD


def test_one_panel_is_enough_where_it_would_not_be_on_a_roof() -> None:
    """20 V * (1 - 0.004 * 32.32 K) = 17.41 V in free air, 16.04 V flush on a roof; 16.9 V are needed."""
    needy = replace(CHARGER, start_above_battery_v=2.5)
    assert joined(portable(1, needy)) == (1, 1)
    assert joined(portable(1, replace(CHARGER, start_above_battery_v=3.1))) is None


def test_a_shared_input_is_told() -> None:
    first, second = portable(2), replace(portable(1), name="beach set")
    job = replace(job_of(first), portable=(first, second))
    (note,) = [n for n in portable_notes(job, MILD) if n.code == "portable-shared-input"]
    assert note.text == (
        "picnic set and beach set share the solar input of Vehicle charger: plug in one at a time."
    )
    own = replace(job, portable=(first, replace(second, own_controller=True)))
    assert "portable-shared-input" not in [n.code for n in portable_notes(own, MILD)]


def test_its_figures() -> None:
    (string,) = portable_strings(job_of(portable(2)), MILD)
    assert string.power_w == 220
    assert string.isc_a == pytest.approx(11.8)
    assert string.vmp_hot_v == pytest.approx(20 * (1 - 0.004 * 32.3225))
    assert string.voc_cold_v == pytest.approx(24 * 1.075)
    assert string.charge_a == pytest.approx(15)  # 220 W / 14.4 V = 15.3 A
    assert string.clipped_w == pytest.approx(220 - 15 * 14.4)


def job_of(own: PortablePanels) -> Job:
    facet = Facet("main", ((0, 0), (1000, 0), (1000, 1000), (0, 1000)))
    return Job("t", (facet,), PanelRules((FOLDING,)), battery=BATTERY, portable=(own,))
