"""Cable runs of wired roofs: names, ends, lengths, currents, sizes, what no size serves."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import replace

import pytest
from cabled_roofs import ALDER, FINCH, GIVEN, TEMPERATURES, Counts, wired
from hypothesis import given, settings
from hypothesis import strategies as st

from rooflayout.job import Cable, Job
from rooflayout.plan import CableRun, Wiring
from rooflayout.wiring.cables import cable_notes, cable_runs
from rooflayout.wiring.conductors import AWG, METRIC, Laid, Size, capacity_a, drop_v
from rooflayout.wiring.drafts import HOT_ROOF_K, inside_laid, roof_laid
from rooflayout.wiring.limits import CURRENT_FACTOR

PAIR: Counts = [[[(FINCH, 2)]]]
THREE: Counts = [[[(FINCH, 1)] * 3]]
BY_MM2 = {s.mm2: s for s in METRIC}
BY_AWG = {s.awg: s for s in AWG}


def runs_of(counts: Counts, cable: Cable = GIVEN, **more: object) -> tuple[Job, Wiring]:
    job, panels, wiring = wired(counts, cable, **more)  # type: ignore[arg-type]
    return job, replace(wiring, runs=cable_runs(job, panels, wiring))


def codes(job: Job, wiring: Wiring) -> list[tuple[str, str]]:
    return [(n.severity, n.code) for n in cable_notes(job, wiring)]


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
        ("R5", "battery", "C1", "battery"),
        ("R6", "string", "S4", "C2 tracker 1"),
        ("R7", "battery", "C2", "battery"),
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
    assert run.why == "voltage drop: 2.12 % of 3.00 %"


def test_what_set_the_size_in_words() -> None:
    _, short = runs_of(PAIR, Cable(roof_run_mm=200, gland_to_controller_mm=300, controller_to_battery_mm=300))
    assert [r.why for r in short.runs] == [
        "current at 75 °C: 12.5 A of 15.0 A",
        "fuse at 42 °C: 80.0 A of 89.4 A",
    ]
    assert [r.size_mm2 for r in short.runs] == [2.5, 16]


def test_no_conductor_on_the_roof_is_thinner_than_the_job_asks() -> None:
    """12 AWG has 3.3 mm², 10 AWG 5.3 mm² (ASTM B258, from memory); cables inside are as thin as serves."""
    near = Cable(roof_run_mm=200, gland_to_controller_mm=300, controller_to_battery_mm=300)
    _, plain = runs_of(THREE, near)
    _, strong = runs_of(THREE, replace(near, least_roof_mm2=4.0))
    assert plain.runs[0].size_mm2 is not None
    assert plain.runs[0].size_mm2 < 4
    for run in strong.runs[:3]:
        assert (run.size_mm2, run.size_awg) == (4, "10")
        assert run.why == "strength: no conductor on the roof below 4 mm²"
        assert run.drop_pct is not None
    assert strong.runs[3:] == plain.runs[3:]
    _, thin = runs_of(THREE, replace(near, least_roof_mm2=1.0))
    assert thin.runs == plain.runs


def test_the_awg_sizes_that_terminals_hold_back_are_named() -> None:
    """A fuse of 80 A: terminals take 65 A with 6 AWG, 85 A with 4 AWG (NEC 310.16, from memory)."""
    job, wiring = runs_of(PAIR)
    assert (wiring.runs[-1].fuse_a, wiring.runs[-1].size_awg, wiring.runs[-1].carries_awg_a) == (80, "4", 85)
    (note,) = [n for n in cable_notes(job, wiring) if n.code == "terminals"]
    assert note.severity == "info"
    assert note.text.startswith("AWG sizes of R2 carry what terminals for 75 °C take (NEC 110.14(C) and ")
    metric = replace(wiring, runs=tuple(replace(r, size_awg=None) for r in wiring.runs))
    assert "terminals" not in [code for _, code in codes(job, metric)]


def test_the_awg_size_has_its_own_capacity_and_drop() -> None:
    """10 AWG: 1.29 ohm per 1000 ft at 75 °C (NEC chapter 9 table 8), 55 A at 90 °C (33 CFR 183.425)."""
    _, wiring = runs_of(PAIR)
    run, string = wiring.runs[0], wiring.strings[0]
    lost_v = 2 * 8 * 1.29 / 304.8 * (1 + 0.00393 * 70) / (1 + 0.00393 * 55) * 9.5
    assert run.size_awg == "10"
    assert run.drop_awg_v == pytest.approx(lost_v)
    assert run.drop_awg_pct == pytest.approx(100 * lost_v / string.vmp_hot_v)
    assert run.carries_awg_a == pytest.approx(55 * ((90 - 75) / 60) ** 0.5)


def test_strings_in_parallel_get_one_size() -> None:
    """The farthest of five needs more than the nearest: by itself the nearest has a thinner cable."""
    by_place = Cable(gland_facet="main", gland_mm=(0.0, 0.0), gland_to_controller_mm=3000)
    _, wiring = runs_of([[[(FINCH, 1)] * 5]], by_place)
    strings = [run for run in wiring.runs if run.kind == "string"]
    assert len({run.length_mm for run in strings}) == 5
    assert len({(run.size_mm2, run.size_awg) for run in strings}) == 1
    like_the_others = [run for run in strings if run.why.startswith("as the other strings of this tracker")]
    assert 0 < len(like_the_others) < 5
    longest = max(strings, key=lambda run: run.length_mm)
    assert longest not in like_the_others
    assert all(f"one needs {longest.size_mm2:g} mm²" in run.why for run in like_the_others)


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


def test_string_fuses() -> None:
    """Two others feed 2 x 12.5 A into a panel that stands 20 A; 1.5 x 10 A is the fuse (from memory)."""
    _, wiring = runs_of(THREE)
    assert [r.fuse_a for r in wiring.runs[:4]] == [15, 15, 15, None]
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


def test_no_standard_string_fuse() -> None:
    weak = replace(FINCH, max_series_fuse_a=12.0)
    job, wiring = runs_of([[[(weak, 1)] * 3]])
    assert wiring.runs[0].fuse_a is None
    assert "no standard string fuse from 15.0 A" in wiring.runs[0].why
    assert codes(job, wiring).count(("error", "run-no-fuse")) == 3


def test_no_standard_battery_fuse() -> None:
    job, wiring = runs_of(PAIR, of=replace(ALDER, max_charge_a=450.0))
    assert wiring.runs[-1].fuse_a is None
    assert ("error", "run-no-fuse") in codes(job, wiring)


def test_lengths_from_the_drawing() -> None:
    """Panels of 670 x 1480 mm every 700 mm: centres at (335, 740) and (1035, 740); gland at (3000, 740)."""
    _, wiring = runs_of(PAIR, Cable(gland_facet="main", gland_mm=(3000, 740)))
    assert wiring.runs[0].length_mm == (3000 - 335) + 700 / 2 + 3000
    assert [r.estimated for r in wiring.runs] == [True, True]


def test_lengths_without_a_gland_reach_the_farthest_corner() -> None:
    _, wiring = runs_of(PAIR, Cable(gland_to_controller_mm=2000))
    assert wiring.runs[0].length_mm == (6000 - 335) + (2200 - 740) + 700 / 2 + 2000
    _, other = runs_of(PAIR, Cable(gland_facet="slope", gland_mm=(100, 100), gland_to_controller_mm=2000))
    assert other.runs[0].length_mm == wiring.runs[0].length_mm + 800 + 1900


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
    note, isolators, _ = cable_notes(*runs_of(THREE))
    assert isolators.text.startswith("Isolators of R4: for DC, double-pole")
    assert note.severity == "caution"
    assert note.text == (
        "Fuses: R1 15 A, R2 15 A and R3 15 A (gPV, one in each parallel string where they join, for DC of "
        "the string's open-circuit voltage); R5 80 A ("
        "close to the battery, for DC above 14.4 V, with a breaking capacity above the battery's "
        "short-circuit current: for lithium class T or NH, no blades)."
    )
    note, isolators, _ = cable_notes(*runs_of(PAIR))
    assert (note.severity, isolators.severity) == ("info", "info")
    assert note.text.startswith("Fuses: R2 80 A (close to the battery, for DC above 14.4 V, with a breaking")
    assert re.fullmatch(r"Isolators of R1: .* at least \d+ V and \d+ A\.", isolators.text)


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
    assert "for 182.7 m instead of 303.0 m, or where 5.0 % may be lost" in note.text
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


def test_ambient_of_roof_and_inside() -> None:
    job, _, wiring = wired(PAIR)
    assert roof_laid(job, wiring) == Laid(TEMPERATURES.hottest_air_c + HOT_ROOF_K, 90.0, 2)
    assert inside_laid(job, wiring) == Laid(TEMPERATURES.hottest_air_c, 90.0, 2)
    job, _, wiring = wired(PAIR, replace(GIVEN, ambient_c=55.0))
    assert inside_laid(job, wiring) == Laid(55.0, 90.0, 2)
    assert roof_laid(job, wiring) == Laid(55.0 + HOT_ROOF_K, 90.0, 2)


COUNTS = st.lists(
    st.lists(st.tuples(st.integers(1, 4), st.integers(1, 4)), min_size=1, max_size=2), min_size=1, max_size=2
).map(lambda roof: [[[(FINCH, s)] * p for s, p in trackers] for trackers in roof])
CABLES = st.builds(
    Cable,
    roof_run_mm=st.floats(0, 60_000),
    gland_to_controller_mm=st.floats(0, 30_000),
    controller_to_battery_mm=st.floats(0, 8000),
    ambient_c=st.none() | st.floats(20, 55),
    insulation_c=st.sampled_from([70.0, 90.0, 105.0]),
    bundled=st.integers(1, 12),
    most_drop_pct=st.floats(0.5, 10),
)


@settings(max_examples=80, deadline=None)
@given(COUNTS, CABLES)
def test_what_is_chosen_serves(counts: Counts, cable: Cable) -> None:
    job, wiring = runs_of(counts, cable)
    strings = {s.string: s for s in wiring.strings}
    whole_pct: dict[str, list[float]] = defaultdict(lambda: [0.0, 0.0])
    assert [r.run for r in wiring.runs] == [f"R{i}" for i in range(1, len(wiring.runs) + 1)]
    for run in wiring.runs:
        if run.drop_pct is None:
            continue
        laid = inside_laid(job, wiring) if run.kind != "string" else roof_laid(job, wiring)
        assert run.carries_a == capacity_a(BY_MM2[run.size_mm2], laid)
        assert run.carries_a >= max(run.current_a, run.fuse_a or 0.0) * (1 - 1e-9)
        if run.size_awg is not None:
            assert capacity_a(BY_AWG[run.size_awg], laid) >= run.current_a * (1 - 1e-9)
        assert run.drop_v is not None
        joint = run.end if run.end.endswith("joint") else run.start
        part = 1 if run.kind == "array" else 0
        whole_pct[joint][part] = max(whole_pct[joint][part], run.drop_pct)
        if run.kind == "string":
            assert run.current_a == CURRENT_FACTOR * strings[run.start].isc_a
    assert all(sum(parts) <= cable.most_drop_pct * (1 + 1e-9) for parts in whole_pct.values())


def drop_all_thick_pct(job: Job, wiring: Wiring, thickest: Size, run: CableRun) -> float:
    """Drop from a string to its controller with the thickest size all along."""
    own = next(s for s in wiring.strings if s.string == run.start)
    beside = sum((s.controller, s.tracker) == (own.controller, own.tracker) for s in wiring.strings)
    after_mm = (job.cable.gland_to_controller_mm or 0.0) if beside > 1 else 0.0
    lost_v = drop_v(thickest, run.length_mm, 9.5, job.cable.insulation_c)
    lost_v += drop_v(thickest, after_mm, 9.5 * beside, job.cable.insulation_c)
    return 100 * lost_v / own.vmp_hot_v


@settings(max_examples=60, deadline=None)
@given(COUNTS, CABLES)
def test_where_no_size_is_chosen_none_would_do(counts: Counts, cable: Cable) -> None:
    """A string's cable without a size: the thickest all along loses too much, or cannot carry the current."""
    job, wiring = runs_of(counts, cable)
    for run in wiring.runs:
        if run.kind == "string" and run.size_mm2 is None:
            too_hot = "drops" not in run.why
            carries_a = capacity_a(METRIC[-1], roof_laid(job, wiring))
            if too_hot:
                others = [s for s in wiring.strings if s.controller == run.end.split()[0]]
                assert carries_a < 12.5 * max(1, len(others))
            else:
                assert drop_all_thick_pct(job, wiring, METRIC[-1], run) > cable.most_drop_pct * (1 - 1e-9)


def thickness(run: CableRun) -> tuple[int, int]:
    """Places in the two rows; none that serves counts as thicker than all."""
    metric = [s.mm2 for s in METRIC].index(run.size_mm2) if run.size_mm2 is not None else len(METRIC)
    awg = [s.awg for s in AWG].index(run.size_awg) if run.size_awg is not None else len(AWG)
    return metric, awg


@settings(max_examples=60, deadline=None)
@given(COUNTS, CABLES, st.floats(1.0, 3.0))
@pytest.mark.parametrize("worse", ["longer", "all longer", "hotter", "fuller", "stricter"])
def test_never_thinner_when_it_gets_harder(worse: str, counts: Counts, cable: Cable, times: float) -> None:
    ambient_c = cable.ambient_c if cable.ambient_c is not None else 50.0
    cable = replace(cable, ambient_c=ambient_c)
    roof_mm = (cable.roof_run_mm or 0.0) * times
    harder = {
        "longer": replace(cable, roof_run_mm=roof_mm),
        "all longer": replace(
            cable,
            roof_run_mm=roof_mm,
            gland_to_controller_mm=(cable.gland_to_controller_mm or 0.0) * times,
            controller_to_battery_mm=(cable.controller_to_battery_mm or 0.0) * times,
        ),
        "hotter": replace(cable, ambient_c=ambient_c + 10 * (times - 1)),
        "fuller": replace(cable, bundled=cable.bundled + round(4 * times)),
        "stricter": replace(cable, most_drop_pct=cable.most_drop_pct / times),
    }[worse]
    eased, strained = runs_of(counts, cable)[1].runs, runs_of(counts, harder)[1].runs
    after_joint = {r.start: r for r in strained if r.kind == "array"}
    for before, after in zip(eased, strained, strict=True):
        beyond = thickness(after_joint.get(after.end, after))
        for old, new, last, row in zip(
            thickness(before), thickness(after), beyond, (METRIC, AWG), strict=True
        ):
            # where no size serves from the joint on, the strings' cables are of no use
            assert new >= old or last == len(row), (before, after)


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
