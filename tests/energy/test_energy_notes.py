"""Notes on an energy estimate: each with a case that has it and one that does not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rooflayout.energy.climate import coldest_design_c
from rooflayout.energy.notes import notes_on
from rooflayout.job import (
    Battery,
    ControllerModel,
    Controllers,
    Facet,
    Job,
    Obstacle,
    PanelModel,
    PanelRules,
    PortablePanels,
    Site,
)
from rooflayout.plan import ControllerLoad, Note, PortableString, Temperatures, Wiring
from rooflayout.yields import ControllerYield, Energy, MonthYield, PanelShade

MOSS = ControllerModel("Moss 20", 100, 20, 20.0, (12.0,))
ROOF = Facet("roof", ((0.0, 0.0), (1000.0, 0.0), (1000.0, 1000.0)))
JOB = Job(
    "",
    (ROOF,),
    PanelRules((PanelModel("Fern", 500, 500, 100.0, power_pct_per_k=-0.35),)),
    controllers=Controllers((MOSS,)),
)
MONTH = MonthYield(1, 2.0, 5.0, 500.0, 0.0, 0.0, 400.0, None, None, None, None, "")


def energy(**more: object) -> Energy:
    months = tuple(replace(MONTH, month=m) for m in range(1, 13))
    plain = Energy(months, (), (), (), 200_000.0, 15.0, "invented figures")
    return replace(plain, **more)  # type: ignore[arg-type]


def of_code(notes: tuple[Note, ...], code: str) -> list[Note]:
    return [n for n in notes if n.code == code]


def emptying(pcts: dict[int, float]) -> tuple[MonthYield, ...]:
    return tuple(replace(MONTH, month=m, empty_pct=pcts.get(m, 0.0)) for m in range(1, 13))


def test_months_in_which_the_battery_runs_empty() -> None:
    found = of_code(notes_on(JOB, energy(months=emptying({11: 4.0, 12: 20.0, 1: 33.0}))), "runs-empty")
    assert [n.severity for n in found] == ["caution"]
    assert "November to January" in found[0].text
    assert "one day in three" in found[0].text
    good = of_code(notes_on(JOB, energy(months=emptying({}))), "runs-empty")
    assert [n.severity for n in good] == ["info"]
    assert not of_code(notes_on(JOB, energy()), "runs-empty")  # no capacity


def test_less_sun_is_told_beside_it_and_makes_it_a_caution() -> None:
    def noted(less: float) -> Note:
        months = tuple(replace(m, empty_less_sun_pct=less) for m in emptying({}))
        (found,) = of_code(notes_on(JOB, energy(months=months, month_uncertainty_pct=26.8)), "runs-empty")
        return found

    assert noted(0.0).severity == "info"
    assert noted(0.0).text == (
        "In a usual year the battery hardly ever runs empty. "
        "If a month has 27 % less sun than estimated, the battery still hardly ever runs empty."
    )
    assert noted(20.0).severity == "caution"
    assert noted(20.0).text.endswith(
        " If a month has 27 % less sun than estimated, "
        "the battery runs empty on one day in five in every month."
    )


def test_only_with_ample_to_spare_it_is_said_not_to_run_empty() -> None:
    """400 Wh a day; 50 % of 900 Wh are more, 40 % less."""
    for low_pct, words in ((50.0, "does not run empty"), (40.0, "hardly ever runs empty")):
        months = tuple(replace(m, empty_less_sun_pct=0.0, soc_low_pct=low_pct) for m in emptying({}))
        (found,) = of_code(notes_on(JOB, energy(months=months, usable_wh=900.0)), "runs-empty")
        assert found.text.startswith(f"In a usual year the battery {words}.")


def test_what_finds_the_battery_full_is_told() -> None:
    full = tuple(replace(m, spilled_pct=45.0) for m in emptying({}))
    (found,) = of_code(notes_on(JOB, energy(months=full)), "battery-full")
    assert found.severity == "info"
    assert "over the year, 45 % finds the battery full" in found.text
    assert not of_code(notes_on(JOB, energy(months=emptying({}))), "battery-full")


def test_frost_is_told_where_a_lithium_battery_may_stand_in_it() -> None:
    """The mean of -5 °C in January and December; where the wiring says what lithium needs, it is not said
    again."""
    cold = tuple(replace(MONTH, month=m, air_c=-5.0 if m in (1, 12) else 15.0) for m in range(1, 13))
    lithium = replace(JOB, controllers=None, battery=Battery(12.0, 14.4, 100.0, chemistry="lithium"))
    agm = replace(lithium, battery=Battery(12.0, 14.4, 100.0, chemistry="agm"))
    for job, told in ((lithium, True), (agm, False), (JOB, False)):
        found = notes_on(job, energy(months=cold))
        assert "December and January: snow on the panels" in of_code(found, "frost")[0].text
        assert "nor in what is said of the battery" in of_code(found, "frost")[0].text
        assert bool(of_code(found, "lithium-mornings")) == told
    (text,) = (n.text for n in of_code(notes_on(lithium, energy(months=cold)), "lithium-mornings"))
    assert text.startswith("In the mornings of December and January it freezes")
    assert "must not be charged below 0 °C" in text
    wired = replace(lithium, controllers=JOB.controllers)
    (text,) = (n.text for n in of_code(notes_on(wired, energy(months=cold)), "lithium-mornings"))
    assert "no figure reckons with that" in text
    assert "must not" not in text
    warm = tuple(replace(m, air_c=20.0) for m in cold)
    assert not {"frost", "lithium-mornings"} & {n.code for n in notes_on(lithium, energy(months=warm))}


def test_a_place_colder_than_the_packaged_air_is_a_caution() -> None:
    """Where [site] coldest is far under the estimate; months at 8 °C are then snowy, and it says why."""
    mild = energy(months=tuple(replace(MONTH, month=m, air_c=8.0) for m in range(1, 13)))
    estimate_c = coldest_design_c(46.6, 8.9)
    high = replace(JOB, site=Site(46.6, 8.9, coldest_c=estimate_c - 12.0))
    (found,) = of_code(notes_on(high, mild), "colder-place")
    assert found.severity == "caution"
    assert "lies 12 K under the estimate" in found.text
    assert "for air 10 K colder" in found.text
    assert "in every month (as the given coldest has it)" in of_code(notes_on(high, mild), "frost")[0].text
    near = replace(JOB, site=Site(46.6, 8.9, coldest_c=estimate_c - 5.0))
    assert not {"colder-place", "frost"} & {n.code for n in notes_on(near, mild)}


def test_portable_panels_that_do_not_count_are_named() -> None:
    """Without a wiring, and in one that does not take them; one of two on the same input counts."""
    charger = replace(MOSS, model="vehicle charger")
    own = tuple(PortablePanels(n, JOB.panels.models[0], 1, charger, False) for n in ("folding", "suitcase"))
    job = replace(JOB, portable=own)
    (found,) = of_code(notes_on(job, energy()), "portable-not-counted")
    assert found.severity == "caution"
    assert found.text.endswith("portable folding, suitcase.")
    plugged = tuple(
        PortableString(n, "Fern", "vehicle charger", False, 1, 1, 24, 14, 6, 100.0, 7, 0)
        for n in ("folding", "suitcase")
    )
    one, both = (Wiring((), (), (), _temperatures(), portable=plugged[:n]) for n in (1, 2))
    assert of_code(notes_on(job, energy(), one), "portable-not-counted")[0].text.endswith("suitcase.")
    assert not of_code(notes_on(job, energy(), both), "portable-not-counted")
    counted = energy(months=tuple(replace(MONTH, month=m, portable_wh_day=9.0) for m in range(1, 13)))
    for wiring, told in ((one, False), (both, True)):
        (note,) = of_code(notes_on(job, counted, wiring), "portable-harvest")
        assert ("only the strongest counts" in note.text) == told


def test_a_doubt_of_clipping_is_a_range() -> None:
    def noted(passes: float, least: float) -> str:
        own = energy(controllers=(ControllerYield("C1", 1_000_000.0, passes, least),))
        return of_code(notes_on(JOB, own), "clipped-over-the-year")[0].text

    assert noted(988_000.0, 940_000.0) == (
        "C1 passes 94 to 99 % of what its panels would give here over the year; "
        "12 to 60 kWh a year are cut off, the more the quicker clouds come and go."
    )
    assert noted(999_900.0, 996_000.0).endswith(
        "passes 100 % of what its panels would give here over the year."
    )


@pytest.mark.parametrize(("least", "severity"), [(901_000.0, "info"), (899_000.0, "caution"), (None, "info")])
def test_the_lower_end_of_clipping_makes_it_a_caution(least: float | None, severity: str) -> None:
    own = energy(controllers=(ControllerYield("C1", 1_000_000.0, 960_000.0, least),))
    assert [n.severity for n in of_code(notes_on(JOB, own), "clipped-over-the-year")] == [severity]


def test_what_is_taken_for_granted_of_the_battery() -> None:
    job = replace(JOB, battery=Battery(12.0, 14.4, 200.0))
    found = notes_on(job, energy(usable_wh=1200.0, watts_per_ah=1.0))
    assert "50 %" in of_code(found, "battery-figures")[0].text
    assert "W for each Ah" in of_code(found, "watts-per-ah")[0].text
    assert not of_code(notes_on(JOB, energy()), "battery-figures")


@pytest.mark.parametrize(
    ("ratio", "severity", "asks"),
    [
        (0.17, "caution", "Is [battery] capacity in Wh? It counts in Ah."),  # 600 W for 3600 Wh typed as Ah
        (0.31, "info", ""),
        (29.0, "info", ""),
        (170.0, "caution", "Is [battery] capacity in kWh? It counts in Ah."),
    ],
)
def test_a_capacity_in_another_unit_is_asked_about(ratio: float, severity: str, asks: str) -> None:
    job = replace(JOB, battery=Battery(12.0, 14.4, 200.0))
    (note,) = of_code(notes_on(job, energy(usable_wh=1200.0, watts_per_ah=ratio)), "watts-per-ah")
    assert note.severity == severity
    assert note.text.endswith(asks)
    assert ("Is [battery] capacity" in note.text) is bool(asks)


def test_short_of_demand_only_where_no_battery_is_simulated() -> None:
    short = tuple(
        replace(MONTH, month=m, demand_wh_day=600.0 if m in (1, 12) else 400.0) for m in range(1, 13)
    )
    found = of_code(notes_on(JOB, energy(months=short)), "short-of-demand")
    assert [n.text for n in found] == ["Less comes in than the loads draw in December and January."]
    known = tuple(replace(m, empty_pct=0.0) for m in short)
    assert not of_code(notes_on(JOB, energy(months=known)), "short-of-demand")


@pytest.mark.parametrize(
    ("passes_wh", "severity", "end"),
    [
        (960_000.0, "info", "20 A passes 96 % of what 800 W would give here {}; 40 kWh a year are cut off."),
        (
            790_000.0,
            "caution",
            "20 A passes 79 % of what 800 W would give here {}; 210 kWh a year are cut off.",
        ),
        (1_000_000.0, "info", "20 A passes 100 % of what 800 W would give here {}."),
    ],
)
def test_clipping_per_controller(passes_wh: float, severity: str, end: str) -> None:
    own = energy(controllers=(ControllerYield("C1", 1_000_000.0, passes_wh),))
    load = ControllerLoad("C1", "Moss 20", 800.0, 40.0, 20.0, 500.0, 60.0)
    wiring = Wiring((), (load,), (), _temperatures())
    found = of_code(notes_on(JOB, own, wiring), "clipped-over-the-year")
    assert [(n.severity, n.text) for n in found] == [
        (severity, f"C1 (Moss 20): {end.format('over the year, as full sun is rare')}")
    ]
    whole = Wiring((), (replace(load, clipped_w=0.0, clipped_pct=0.0),), (), _temperatures())
    (said,) = of_code(notes_on(JOB, own, whole), "clipped-over-the-year")
    assert "full sun" not in said.text
    bare = of_code(notes_on(JOB, own), "clipped-over-the-year")
    assert "of what its panels would give here over the year" in bare[0].text


def _temperatures() -> Temperatures:
    return Temperatures(-5.0, "given", 40.0, 89.0, "given")


def test_a_charge_limit_that_is_set_down_is_the_one_named() -> None:
    own = energy(controllers=(ControllerYield("C1", 1_000_000.0, 950_000.0),))
    load = ControllerLoad("C1", "Moss 20", 800.0, 40.0, 15.0, 500.0, 60.0, set_a=15.0)
    found = of_code(notes_on(JOB, own, Wiring((), (load,), (), _temperatures())), "clipped-over-the-year")
    assert "15 A passes 95 %" in found[0].text


def test_shade_above_two_percent_names_the_panels_worst_first() -> None:
    shade = (PanelShade("P1", 2.4), PanelShade("P2", 9.2), PanelShade("P3", 2.0))
    found = of_code(notes_on(JOB, energy(shade=shade)), "shade")
    assert "takes from the year of P2 9 %, P1 2 %" in found[0].text
    assert "P3" not in found[0].text
    assert not of_code(notes_on(JOB, energy(shade=shade[2:])), "shade")


def test_heights_that_were_assumed_are_named() -> None:
    vent = Obstacle("vent", "roof", "vent", centre_mm=(300.0, 300.0), diameter_mm=100.0)
    shade = (PanelShade("P1", 1.0),)
    found = of_code(notes_on(replace(JOB, obstacles=(vent,)), energy(shade=shade)), "assumed-heights")
    assert "vent 60 mm" in found[0].text
    tall = replace(JOB, obstacles=(replace(vent, height_mm=90.0),))
    assert not of_code(notes_on(tall, energy(shade=shade)), "assumed-heights")


def test_portable_panels_are_counted_as_set_up_every_day() -> None:
    months = tuple(replace(MONTH, month=m, portable_wh_day=100.0) for m in range(1, 13))
    assert "every day" in of_code(notes_on(JOB, energy(months=months)), "portable-harvest")[0].text
    assert not of_code(notes_on(JOB, energy()), "portable-harvest")


def test_source_uncertainty_and_losses_are_always_said() -> None:
    found = notes_on(JOB, energy())
    assert "invented figures" in of_code(found, "sun-figures")[0].text
    assert "15 %" in of_code(found, "sun-figures")[0].text
    losses = of_code(found, "harvest-losses")[0].text
    assert "4 % for dirt" in losses
    assert "blank" not in losses
    blank = replace(JOB, panels=PanelRules((PanelModel("Moss", 1, 1, 1),)))
    assert (
        "0.35 % per K where the catalogue is blank: Moss"
        in of_code(notes_on(blank, energy()), "harvest-losses")[0].text
    )
