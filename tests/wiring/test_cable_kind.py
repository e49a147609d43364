"""Which cable the sizes are for: insulation, air, bundle; and no conductor on a boat below 16 AWG."""

from __future__ import annotations

from dataclasses import replace

from cabled_roofs import FINCH, GIVEN, PAIR, THREE, runs_of

from rooflayout.job import Cable
from rooflayout.needs import Vehicle
from rooflayout.wiring.cable_kind import boat_notes, kind_notes, thin_notes

NEAR = Cable(roof_run_mm=100, gland_to_controller_mm=100, controller_to_battery_mm=100, ambient_c=20.0)


def test_insulation_and_air_are_told_and_assumed_air_is_a_caution() -> None:
    """Hottest air 42 °C in the test's temperatures, 33 K more on the roof (NEC 310.15(B), from memory), 10 K
    more in a closed cupboard (common practice, no source)."""
    (note,) = kind_notes(*runs_of(PAIR))
    assert note.severity == "caution"
    assert (
        "insulation that stands 90 °C, air of 52 °C inside (assumed: a closed cupboard, 10 K above"
        in note.text
    )
    assert "75 °C on the roof, 2 loaded conductors together" in note.text
    (given,) = kind_notes(*runs_of(PAIR, replace(GIVEN, ambient_c=50.0, insulation_c=105.0)))
    assert given.severity == "info"
    assert "stands 105 °C, air of 50 °C inside (as the job says), 83 °C on the roof" in given.text
    assert "[cable] ambient" not in given.text


def test_more_cables_than_the_bundle_has_are_told() -> None:
    """Two trackers, one with three strings: the joint's cable and the other string's go inside."""
    cable = replace(GIVEN, ambient_c=45.0)
    job, wiring = runs_of([[[(FINCH, 1)] * 3, [(FINCH, 2)]]], cable)
    (note,) = kind_notes(job, wiring)
    assert note.severity == "caution"
    assert note.text.endswith("; for 2 cables bunched behind the gland give [cable] bundled = 4.")
    enough = replace(job, cable=replace(cable, bundled=4))
    assert [n.severity for n in kind_notes(enough, wiring)] == ["info"]
    assert "bunched" not in kind_notes(*runs_of(THREE, cable))[0].text


def test_nothing_is_told_without_cables() -> None:
    job, wiring = runs_of(PAIR)
    assert kind_notes(job, replace(wiring, runs=())) == ()


def test_no_conductor_on_a_boat_is_thinner_than_16_awg() -> None:
    """33 CFR 183 subpart I, READ (vehicle.json): AWG 16 minimum single. 0.8 A: 18 AWG would carry it."""
    weak = replace(FINCH, isc_a=0.64, imp_a=0.6, power_w=12.0)
    _, ashore = runs_of([[[(weak, 2)]]], NEAR)
    _, afloat = runs_of([[[(weak, 2)]]], NEAR, vehicle=Vehicle("boat"))
    assert (ashore.runs[0].size_awg, ashore.runs[0].size_mm2) == ("18", 1.5)
    assert (afloat.runs[0].size_awg, afloat.runs[0].size_mm2) == ("16", 1.5)
    assert [r.size_mm2 for r in afloat.runs] == [r.size_mm2 for r in ashore.runs]
    _, motor = runs_of([[[(weak, 2)]]], NEAR, vehicle=Vehicle("motor"))
    assert motor.runs == ashore.runs


def test_strings_above_50_v_on_a_boat_are_beyond_the_tables() -> None:
    """ISO 10133 up to 50 V DC and 33 CFR 183.425 table 5 below 50 V, READ. At -5 °C each has 25.9 V."""
    job, wiring = runs_of([[[(FINCH, 1)], [(FINCH, 2)]]], vehicle=Vehicle("boat"))
    (note,) = boat_notes(job, wiring)
    assert note.severity == "caution"
    assert note.text.startswith("S2 may be above 50 V DC: on a boat beyond ISO 10133")
    assert boat_notes(*runs_of([[[(FINCH, 1)]]], vehicle=Vehicle("boat"))) == ()
    assert boat_notes(replace(job, vehicle=Vehicle("trailer")), wiring) == ()
    assert boat_notes(replace(job, vehicle=None), wiring) == ()


def test_cables_thinner_than_plugs_are_made_for_are_told() -> None:
    """4 mm²: common practice, no source. Cables inside may be thinner."""
    _, thin = runs_of(THREE, NEAR)
    assert thin.runs[0].size_mm2 == 1.5
    (note,) = thin_notes(thin)
    assert (note.severity, note.text[:31]) == ("info", "R1, R2, R3 would do below 4 mm²")
    assert thin_notes(runs_of(THREE, replace(NEAR, least_roof_mm2=4.0))[1]) == ()
