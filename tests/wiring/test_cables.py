"""Cable runs of wired roofs: names, ends, lengths, currents, sizes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cabled_roofs import FINCH, GIVEN, PAIR, TEMPERATURES, THREE, runs_of, wired

from rooflayout.job import Cable
from rooflayout.wiring.conductors import Laid
from rooflayout.wiring.drafts import CUPBOARD_K, HOT_ROOF_K, inside_laid, roof_laid


def test_one_string_goes_to_its_controller() -> None:
    _, wiring = runs_of(PAIR)
    assert [(r.run, r.kind, r.start, r.end) for r in wiring.runs] == [
        ("R1", "string", "S1", "C1 tracker 1"),
        ("R2", "battery", "C1", "battery"),
    ]
    assert [r.length_mm for r in wiring.runs] == [8000, 1500]
    assert [r.isolator for r in wiring.runs] == [True, True]
    assert [r.fuse_a for r in wiring.runs] == [None, 80]


def test_parallel_strings_meet_at_a_joint() -> None:
    _, wiring = runs_of([*THREE, *PAIR])
    joint = "C1 tracker 1 joint"
    assert [(r.run, r.kind, r.start, r.end) for r in wiring.runs] == [
        ("R1", "string", "S1", joint),
        ("R2", "string", "S2", joint),
        ("R3", "string", "S3", joint),
        ("R4", "array", joint, "C1 tracker 1"),
        ("R5", "battery", "C1", "busbar"),
        ("R6", "string", "S4", "C2 tracker 1"),
        ("R7", "battery", "C2", "busbar"),
        ("R8", "main", "busbar", "battery"),
    ]
    assert [r.length_mm for r in wiring.runs[:4]] == [5000, 5000, 5000, 3000]
    assert [r.isolator for r in wiring.runs[:5]] == [False, False, False, True, True]
    assert [r.current_a for r in wiring.runs[:5]] == [12.5, 12.5, 12.5, 37.5, 75.0]


def test_a_controller_without_strings_has_no_cables() -> None:
    _, wiring = runs_of([[], *PAIR])
    assert [r.start for r in wiring.runs] == ["S1", "C2"]


def test_a_size_by_hand() -> None:
    """Two in series: 2 x 8 m of 6 mm² at 90 °C, 3.39 ohm/km (IEC 60228, READ), at 9.5 A."""
    _, wiring = runs_of(PAIR)
    run, string = wiring.runs[0], wiring.strings[0]
    lost_v = 2 * 8 * 0.00339 * (1 + 0.00393 * 70) * 9.5
    assert run.size_mm2 == 6
    assert run.drop_v == pytest.approx(lost_v)
    assert run.drop_pct == pytest.approx(100 * lost_v / string.vmp_hot_v)
    assert run.carries_a == pytest.approx(50 * ((90 - 75) / 60) ** 0.5)
    assert run.why == "voltage drop: 2.12 %, 3.00 % allowed"


def test_what_set_the_size_in_words() -> None:
    _, short = runs_of(PAIR, Cable(roof_run_mm=200, gland_to_controller_mm=300, controller_to_battery_mm=300))
    assert [r.why for r in short.runs] == [
        "current at 75 °C: 12.5 A of 15.0 A",
        "fuse at 52 °C: 80.0 A of 111.4 A",
    ]
    assert [r.size_mm2 for r in short.runs] == [2.5, 25]


def test_no_conductor_on_the_roof_is_thinner_than_the_job_asks() -> None:
    """12 AWG has 3.3 mm², 10 AWG 5.3 mm² (ASTM B258, from memory); cables inside are as thin as serves."""
    near = Cable(roof_run_mm=200, gland_to_controller_mm=300, controller_to_battery_mm=300, ambient_c=20)
    _, plain = runs_of(THREE, near)
    _, strong = runs_of(THREE, replace(near, least_roof_mm2=4.0))
    assert plain.runs[0].size_mm2 is not None
    assert plain.runs[0].size_mm2 < 4
    for run in strong.runs[:3]:
        assert (run.size_mm2, run.size_awg) == (4, "10")
        assert run.why == "strength: no conductor here below 4 mm²"
        assert run.drop_pct is not None
    assert strong.runs[3:] == plain.runs[3:]
    _, thin = runs_of(THREE, replace(near, least_roof_mm2=1.0))
    assert thin.runs == plain.runs


def test_the_awg_size_has_its_own_capacity_and_drop() -> None:
    """10 AWG: 1.29 ohm per 1000 ft at 75 °C (NEC chapter 9 table 8), 55 A at 90 °C (33 CFR 183.425)."""
    _, wiring = runs_of(PAIR)
    run, string = wiring.runs[0], wiring.strings[0]
    lost_v = 2 * 8 * 1.29 / 304.8 * (1 + 0.00393 * 70) / (1 + 0.00393 * 55) * 9.5
    assert run.size_awg == "10"
    assert run.drop_awg_v == pytest.approx(lost_v)
    assert run.drop_awg_pct == pytest.approx(100 * lost_v / string.vmp_hot_v)
    assert run.carries_awg_a == pytest.approx(55 * ((90 - 75) / 60) ** 0.5)


def test_awg_terminals_take_another_quarter_of_panels_currents() -> None:
    """NEC 690.8(B), from memory: 1.25 x 1.25 x Isc before ambient and bundle. Two strings of 10 A: 31.25 A;
    10 AWG takes 30 A. Metric sizes go by IEC 62548, which asks 1.25 x Isc: 2.5 mm² take 25 A."""
    near = Cable(roof_run_mm=200, gland_to_controller_mm=300, controller_to_battery_mm=300, ambient_c=30)
    _, wiring = runs_of([[[(FINCH, 1)] * 2]], near)
    array = wiring.runs[2]
    assert (array.kind, array.current_a) == ("array", 25)
    assert (array.size_awg, array.size_mm2) == ("8", 2.5)
    small = replace(FINCH, isc_a=9.6, imp_a=9.0)  # 1.5625 x 19.2 A = 30 A
    _, just = runs_of([[[(small, 1)] * 2]], near)
    assert just.runs[2].size_awg == "10"


def test_strings_in_parallel_get_one_size() -> None:
    """The farthest of five needs more than the nearest: by itself the nearest has a thinner cable."""
    by_place = Cable(gland_facet="main", gland_mm=(0.0, 0.0), gland_to_controller_mm=3000)
    _, wiring = runs_of([[[(FINCH, 1)] * 5]], by_place)
    strings = [run for run in wiring.runs if run.kind == "string"]
    assert len({run.length_mm for run in strings}) == 5
    assert len({(run.size_mm2, run.size_awg) for run in strings}) == 1
    like_the_others = [run for run in strings if run.why.startswith("as the tracker's other strings: ")]
    assert 0 < len(like_the_others) < 5
    longest = max(strings, key=lambda run: run.length_mm)
    assert longest not in like_the_others
    assert all(f"one needs {longest.size_mm2:g} mm²" in run.why for run in like_the_others)


def test_string_fuses() -> None:
    """Two others feed 2 x 12.5 A into a panel that stands 20 A; the fuse from 1.5625 x 10 A (NEC 690.9(B)
    with IEC 62548, from memory)."""
    _, wiring = runs_of(THREE)
    assert [r.fuse_a for r in wiring.runs[:4]] == [16, 16, 16, None]
    _, two = runs_of([[[(FINCH, 1)] * 2]])
    assert [r.fuse_a for r in two.runs[:3]] == [None, None, None]


def test_unfused_strings_carry_what_the_others_feed_in() -> None:
    """Four strings of panels that stand 60 A: no fuse, 37.5 A from the three others."""
    strong = replace(FINCH, max_series_fuse_a=60.0)
    _, wiring = runs_of([[[(strong, 1)] * 4]], replace(GIVEN, roof_run_mm=10, gland_to_controller_mm=10))
    run = wiring.runs[0]
    assert run.fuse_a is None
    assert run.carries_a is not None
    assert run.carries_a >= 37.5
    assert "37.5 A of" in run.why


def test_lengths_from_the_drawing() -> None:
    """Panels of 670 x 1480 mm every 700 mm: centres at (335, 740) and (1035, 740); gland at (3000, 740)."""
    _, wiring = runs_of(PAIR, Cable(gland_facet="main", gland_mm=(3000, 740)))
    assert wiring.runs[0].length_mm == 3100 + 3000  # (3000 - 335) + 700 / 2 = 3015, up to the next 0.1 m
    assert [r.estimated for r in wiring.runs] == [True, True]


def test_lengths_without_a_gland_reach_the_farthest_corner() -> None:
    _, wiring = runs_of(PAIR, Cable(gland_to_controller_mm=2000))
    roof_mm = (6000 - 335) + (2200 - 740) + 700 / 2  # 7475
    assert wiring.runs[0].length_mm == 7500 + 2000
    _, other = runs_of(PAIR, Cable(gland_facet="slope", gland_mm=(100, 100), gland_to_controller_mm=2000))
    assert roof_mm + 800 + 1900 <= other.runs[0].length_mm - 2000 == 10_200


def test_ambient_of_roof_and_inside() -> None:
    job, _, wiring = wired(PAIR)
    assert roof_laid(job, wiring) == Laid(TEMPERATURES.hottest_air_c + HOT_ROOF_K, 90.0, 2)
    assert inside_laid(job, wiring) == Laid(TEMPERATURES.hottest_air_c + CUPBOARD_K, 90.0, 2)
    job, _, wiring = wired(PAIR, replace(GIVEN, ambient_c=55.0))
    assert inside_laid(job, wiring) == Laid(55.0, 90.0, 2)
    assert roof_laid(job, wiring) == Laid(55.0 + HOT_ROOF_K, 90.0, 2)
