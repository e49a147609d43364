"""Any cables however they are laid: what is chosen serves, nothing thinner does, harder is never thinner."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

import pytest
from cabled_roofs import FINCH, Counts, runs_of
from hypothesis import given, settings
from hypothesis import strategies as st

from rooflayout.job import Cable, Job
from rooflayout.plan import CableRun, Wiring
from rooflayout.wiring.conductors import AWG, METRIC, Size, capacity_a, drop_v
from rooflayout.wiring.drafts import inside_laid, roof_laid
from rooflayout.wiring.hot_drop import behind_cables, hot_drop_notes
from rooflayout.wiring.limits import CURRENT_FACTOR

BY_MM2 = {s.mm2: s for s in METRIC}
BY_AWG = {s.awg: s for s in AWG}
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
        joint = run.end if run.end.endswith(("joint", "busbar")) else run.start
        part = 1 if run.kind in ("array", "main") else 0
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
    eased = runs_of(counts, cable)[1].runs
    job, wiring = runs_of(counts, harder)
    wiring = replace(wiring, strings=behind_cables(wiring.strings, wiring.runs))
    if hot_drop_notes(job, wiring):  # too little voltage whatever the size: none is thicker for it
        return
    strained = wiring.runs
    if len(eased) != len(strained):  # only one of them has a busbar, and the ways to it are others
        eased, strained = (
            tuple(r for r in runs if r.kind not in ("battery", "main")) for runs in (eased, strained)
        )
    thicker_before_joint = {  # what comes after may lose more then
        old.end
        for old, new in zip(eased, strained, strict=True)
        if old.kind in ("string", "battery")
        and any(a > b for a, b in zip(thickness(new), thickness(old), strict=True))
    }
    after_joint = {r.start: r for r in strained if r.kind in ("array", "main")}
    for before, after in zip(eased, strained, strict=True):
        beyond = thickness(after_joint.get(after.end, after))
        for old, new, last, row in zip(
            thickness(before), thickness(after), beyond, (METRIC, AWG), strict=True
        ):
            # where no size serves from the joint on, the strings' cables are of no use
            spared = before.kind in ("array", "main") and before.start in thicker_before_joint
            assert new >= old or last == len(row) or spared, (before, after)
