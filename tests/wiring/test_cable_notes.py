"""What is said of cables: what no size serves and what would do, fuses, lengths, terminals."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from cabled_roofs import ALDER, FINCH, GIVEN, PAIR, THREE, codes, runs_of, wired

from rooflayout.job import Cable
from rooflayout.needs import Vehicle
from rooflayout.wiring.cables import cable_notes, cable_runs


def test_a_cable_too_thick_for_most_terminals_is_told_with_the_cure() -> None:
    far = replace(GIVEN, controller_to_battery_mm=6000)
    job, wiring = runs_of([[[(FINCH, 2)] * 2]], far)
    (battery,) = [run for run in wiring.runs if run.kind == "battery"]
    assert battery.size_mm2 is not None
    assert battery.size_mm2 > 35
    (note,) = [n for n in cable_notes(job, wiring) if n.code == "run-thick"]
    assert note.severity == "caution"
    assert note.text == (
        f"{battery.run}, from C1 to battery, takes {battery.size_mm2:g} mm² or {battery.size_awg} AWG: "
        "terminals of controllers often take no more than 35 mm² or 2 AWG. Look up those of C1 (Alder 60); "
        "thinner would do with the controller "
        "nearer the battery or a battery of 24 V."
    )
    exactly = replace(wiring, runs=tuple(replace(r, size_mm2=35.0, size_awg="2") for r in wiring.runs))
    assert "run-thick" not in [code for _, code in codes(job, exactly)]
    by_awg = tuple(replace(run, size_mm2=35.0, size_awg="1") for run in wiring.runs)
    told = [n.text for n in cable_notes(job, replace(wiring, runs=by_awg)) if n.code == "run-thick"]
    assert len(told) == 2
    assert "takes 35 mm² or 1 AWG: " in told[0]
    alone = tuple(replace(run, size_mm2=None, size_awg="4/0") for run in wiring.runs)
    told = [n.text for n in cable_notes(job, replace(wiring, runs=alone)) if n.code == "run-thick"]
    assert "takes 4/0 AWG: " in told[0]
    thick = tuple(replace(run, size_mm2=50.0) for run in wiring.runs)
    told = [n.text for n in cable_notes(job, replace(wiring, runs=thick)) if n.code == "run-thick"]
    assert len(told) == 2  # the cables from the strings end at the joint
    assert "a shorter way or more panels in series and fewer in parallel" in told[0]


def test_no_standard_string_fuse() -> None:
    weak = replace(FINCH, max_series_fuse_a=12.0)
    job, wiring = runs_of([[[(weak, 1)] * 3]])
    assert wiring.runs[0].fuse_a is None
    assert "no standard string fuse from 15.0 A" in wiring.runs[0].why
    assert codes(job, wiring).count(("error", "run-no-fuse")) == 3


def test_no_size_names_the_sizes_that_were_tried() -> None:
    """A boat's conductors begin at 16 AWG (33 CFR 183.425, READ), the roof's where the job says."""
    far = replace(GIVEN, roof_run_mm=300_000, controller_to_battery_mm=100_000, least_roof_mm2=4.0)
    job, wiring = runs_of(PAIR, far, vehicle=Vehicle("boat"))
    told = {n.text[:2]: n.text for n in cable_notes(job, wiring) if n.code == "run-no-size"}
    assert "(4 to 95 mm² and 10 to 4/0 AWG tried)" in told["R1"]
    assert "(1.5 to 95 mm² and 16 to 4/0 AWG tried)" in told["R2"]


def test_a_string_fuse_that_keeps_one_of_two_rules() -> None:
    """15 A are 1.5 times 10 A, and the panel stands no more."""
    tight = replace(FINCH, max_series_fuse_a=15.0)
    job, wiring = runs_of([[[(tight, 1)] * 3]])
    assert [r.fuse_a for r in wiring.runs[:3]] == [15.0] * 3
    (note,) = [n for n in cable_notes(job, wiring) if n.code == "fuse-below-nec"]
    assert note.severity == "caution"
    assert note.text.startswith("R1, R2 and R3: a string fuse of 15 A is 1.50 times Isc, enough by IEC 62548")
    assert "fuse-below-nec" not in [code for _, code in codes(*runs_of(THREE))]


def test_no_standard_battery_fuse() -> None:
    job, wiring = runs_of(PAIR, of=replace(ALDER, max_charge_a=450.0))
    assert wiring.runs[-1].fuse_a is None
    assert ("error", "run-no-fuse") in codes(job, wiring)


def test_estimated_lengths_are_told_once() -> None:
    job, wiring = runs_of(PAIR, Cable(roof_run_mm=5000, gland_to_controller_mm=3000))
    assert [r.estimated for r in wiring.runs] == [False, True]
    (note,) = [n for n in cable_notes(job, wiring) if n.code == "cable-lengths-estimated"]
    assert note.severity == "caution"
    assert note.text == (
        "Cable lengths are estimated for R2 (1.5 m from controller to battery): measure before buying."
    )
    assert "cable-lengths-estimated" not in [code for _, code in codes(*runs_of(PAIR))]


def test_fuses_are_listed() -> None:
    note, isolators, *_ = cable_notes(*runs_of(THREE))
    assert isolators.text.startswith("Isolators of R4: for DC, double-pole")
    assert note.severity == "caution"
    assert note.text == (
        "Fuses: R1 16 A, R2 16 A and R3 16 A (gPV, one in each parallel string where they join, for DC of "
        "the string's open-circuit voltage); R5 80 A ("
        "close to the battery, for DC above 14.4 V, with a breaking capacity above the battery's "
        "short-circuit current: for lithium class T or NH, no blades)."
    )
    note, isolators, *_ = cable_notes(*runs_of(PAIR))
    assert (note.severity, isolators.severity) == ("info", "info")
    assert note.text.startswith("Fuses: R2 80 A (close to the battery, for DC above 14.4 V, with a breaking")
    at_the_battery = r" At the battery, for DC above 14\.4 V: R2 80 A or more\."
    assert re.fullmatch(rf"Isolators of R1: .* at least \d+ V and \d+ A\.{at_the_battery}", isolators.text)


def test_a_panel_whose_largest_series_fuse_is_not_known_is_named() -> None:
    unrated = replace(FINCH, max_series_fuse_a=None)
    note, *_ = cable_notes(*runs_of([[[(unrated, 2)] * 3]]))
    assert "voltage; the catalogue gives no largest series fuse for Finch 200: look it up); R5" in note.text


def test_no_size_for_the_drop_says_what_would_do() -> None:
    """By hand: 95 mm², 0.21 ohm/km, 90 °C, 2 x 303 m at 9.5 A; the change it names does serve."""
    job, wiring = runs_of(PAIR, replace(GIVEN, roof_run_mm=300_000))
    lost_pct = 100 * 2 * 303 * 0.00021 * (1 + 0.00393 * 70) * 9.5 / wiring.strings[0].vmp_hot_v
    (note,) = [n for n in cable_notes(job, wiring) if n.code == "run-no-size"]
    run = wiring.runs[0]
    assert (run.size_mm2, run.size_awg, run.drop_v, run.carries_a) == (None, None, None, None)
    assert note.severity == "error"
    assert note.text.startswith(
        "R1, from S1 to C1 tracker 1: no standard size serves (1.5 to 95 mm² and 18 to 4/0 AWG tried): "
        f"95 mm² drops {lost_pct:.2f} %, 3.00 % allowed; "
    )
    assert note.text.endswith(
        "with 4 in series instead of 2, or 2 x 95 mm² side by side all the way. Do not build it so."
    )
    _, higher = runs_of([[[(FINCH, 4)]]], replace(GIVEN, roof_run_mm=300_000))
    assert higher.runs[0].size_mm2 is not None
    assert "for 182.7 m instead of 303 m, or where 5.0 % may be lost" in note.text
    odd = replace(GIVEN, roof_run_mm=300_850)  # to the mm: .1f would make 303.9 of it, and 8.8 of 8.85
    (note,) = [n for n in cable_notes(*runs_of(PAIR, odd)) if n.code == "run-no-size"]
    assert "for 182.7 m instead of 303.85 m, or" in note.text
    for cable in (
        replace(GIVEN, roof_run_mm=179_700),
        replace(GIVEN, roof_run_mm=300_000, most_drop_pct=5.0),
    ):
        assert runs_of(PAIR, cable)[1].runs[0].size_mm2 == 95


@pytest.mark.parametrize("cable", [GIVEN, replace(GIVEN, gland_to_controller_mm=200_000)])
def test_a_joint_without_a_size_says_what_would_do(cable: Cable) -> None:
    long = replace(cable, roof_run_mm=150_000)
    _, wiring = runs_of(THREE, long)
    assert any(r.size_mm2 is None for r in wiring.runs[:4])
    told_pct = max(
        float(r.why.split("where ")[1].split(" %")[0]) for r in wiring.runs[:4] if "where" in r.why
    )
    _, eased = runs_of(THREE, replace(long, most_drop_pct=told_pct))
    assert all(r.size_mm2 is not None for r in eased.runs[:4])
    _, short = runs_of(THREE, replace(long, most_drop_pct=told_pct - 0.11))
    assert any(r.size_mm2 is None for r in short.runs[:4])


def test_no_size_in_heat_says_what_would_do() -> None:
    job, wiring = runs_of(PAIR, replace(GIVEN, insulation_c=70.0))
    (note,) = [n for n in cable_notes(job, wiring) if n.code == "run-no-size"]
    assert note.text == (
        "R1, from S1 to C1 tracker 1: no standard size serves (1.5 to 95 mm² and 18 to 4/0 AWG tried): "
        "insulation for 70 °C stands no current at 75 °C; "
        "insulation that stands 90 °C would let one carry it. Do not build it so."
    )
    assert runs_of(PAIR, replace(GIVEN, insulation_c=90.0))[1].runs[0].size_mm2 is not None


def test_where_only_one_row_serves() -> None:
    """4/0 AWG is thicker than 95 mm², so a length lies between what the two reach."""
    job, wiring = runs_of(PAIR, replace(GIVEN, roof_run_mm=185_000))
    assert (wiring.runs[0].size_mm2, wiring.runs[0].size_awg) == (None, "4/0")
    (note,) = [n for n in cable_notes(job, wiring) if n.code == "run-no-size"]
    assert note.severity == "caution"
    assert "no metric size serves, 4/0 AWG does" in note.text


def test_that_terminals_hold_awg_sizes_back_is_told() -> None:
    """A fuse of 80 A: terminals take 65 A with 6 AWG, 85 A with 4 AWG (NEC 310.16, from memory)."""
    job, wiring = runs_of(PAIR)
    assert (wiring.runs[-1].fuse_a, wiring.runs[-1].size_awg, wiring.runs[-1].carries_awg_a) == (80, "4", 85)
    (note,) = [n for n in cable_notes(job, wiring) if n.code == "terminals"]
    assert note.severity == "info"
    assert note.text.startswith(
        "Sizes carry at most what their terminals take: AWG ones for 75 °C (NEC 110.14"
    )
    metric = replace(wiring, runs=tuple(replace(r, size_awg=None) for r in wiring.runs))
    assert "terminals" not in [code for _, code in codes(job, metric)]


def test_that_terminals_hold_metric_sizes_back_is_told() -> None:
    """A fuse of 80 A in cool air: insulation for 90 °C stands 100 A with 16 mm², terminals for 70 °C 90 A."""
    job, wiring = runs_of(PAIR, replace(GIVEN, ambient_c=25.0))
    assert (wiring.runs[-1].size_mm2, wiring.runs[-1].carries_a) == (16, 90)
    (note,) = [n for n in cable_notes(job, wiring) if n.code == "terminals"]
    assert "take: metric ones for 70 °C (IEC 60364-5-52 523.1), AWG ones for 75 °C" in note.text


def test_no_more_in_series_than_the_controller_takes() -> None:
    """Four in series would do, but not on a controller for 75 V: then no word of it."""
    low = replace(ALDER, max_pv_v=75)
    job, panels, wiring = wired(PAIR, replace(GIVEN, roof_run_mm=300_000), of=low)
    (run, _) = cable_runs(job, panels, wiring)
    assert run.size_mm2 is None
    assert "in series" not in run.why


def test_a_battery_of_higher_voltage_is_named_where_it_would_serve() -> None:
    """12 V: as many watts at 24 V take half the current, and 3 % of 24 V are twice the volts."""
    far = replace(GIVEN, controller_to_battery_mm=60_000)
    _, wiring = runs_of(PAIR, far)
    run = wiring.runs[-1]
    assert run.size_mm2 is None
    assert "with a battery of 24 V instead of 12 V" in run.why
    job, panels, higher = wired(PAIR, far, nominal_v=24.0)
    assert cable_runs(job, panels, higher)[-1].size_mm2 is not None
