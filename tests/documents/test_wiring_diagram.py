"""The single-line diagram and the mounting elevation of the wiring set."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rooflayout.documents.diagram_rows import run_words
from rooflayout.documents.elevation import elevation_leaves
from rooflayout.documents.paper import A3, Paper
from rooflayout.documents.single_line import branches_of, diagram_leaves, runs_of
from rooflayout.job import Job, MountingSpace
from rooflayout.plan import Plan

from .lettering_on_sheets import overlapping
from .opened_sheets import leaf_lettering, wiring_sheets
from .wiring_samples import WIRED, one_tracker


def test_diagram_joins_what_is_parallel() -> None:
    _, plan = one_tracker(3)
    (branch,) = branches_of(plan)
    assert [(n, [s.string for s in strings]) for n, strings in branch.trackers] == [(1, ["S1", "S2", "S3"])]
    runs = runs_of(plan)
    assert runs.of_string["S2"].run == "R2"
    assert runs.of_tracker["C1", 1].run == "R4"
    assert runs.of_battery["C1"].run == "R5"


@pytest.mark.parametrize("count", [13, 19, 30])
def test_a_controller_with_many_strings_gets_a_larger_sheet(count: int) -> None:
    job, plan = one_tracker(count)
    leaves = diagram_leaves(job, plan)
    assert len(leaves) == (1 if count < 20 else 2)  # twenty rows with the portable panels
    seen = 0
    for leaf in leaves:
        assert leaf.size == A3
        lettering = leaf_lettering(leaf)
        assert overlapping(lettering) == []
        seen += sum(t.text.startswith("S") and "Lapwing" in t.text for t in lettering)
    assert seen == count


def test_controllers_stay_whole_where_the_diagram_goes_on() -> None:
    job, plan = WIRED["sixty_panels"]()
    leaves = diagram_leaves(job, plan)
    assert len(leaves) == 2
    seen = [t.text.split()[0] for leaf in leaves for t in leaf_lettering(leaf) if t.bold]
    assert [w for w in seen if w.startswith("C")] == [f"C{k}" for k in range(1, 9)]


def test_elevation_is_to_scale() -> None:
    job, plan = WIRED["trailer"]()
    (leaf,) = elevation_leaves(job, plan)
    assert leaf.scale == "1:5"
    (huge,) = elevation_leaves(replace(job, mounting_space=MountingSpace(9000, 4000, 300)), plan)
    assert huge.scale == "1:100"
    paper = Paper(leaf.size)
    leaf.draw(paper)
    sizes = {
        (round(x1 - x0, 3), round(y1 - y0, 3))
        for patch in paper.figure.axes[0].patches
        for (x0, y0), (x1, y1) in [(patch.get_path().vertices.min(0), patch.get_path().vertices.max(0))]
    }
    assert (180 / 5, 250 / 5) in sizes  # a box
    assert (530 / 5, 420 / 5) in sizes  # the space


def test_the_diagram_shows_portable_panels_with_their_plug_and_what_the_asterisk_means() -> None:
    job, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    none = replace(plan, wiring=replace(plan.wiring, portable=()))
    (with_them,), (without,) = (diagram_texts(job, p) for p in (plan, none))
    assert "Awning set  2 × Wren 60" in with_them
    assert "their own, 8.1 A" in with_them
    assert "plug and socket" in with_them
    assert not [t for t in without if "Awning" in t or "plug" in t]
    assert "* length estimated" in without
    sure = tuple(replace(run, estimated=False) for run in plan.wiring.runs)
    (known,) = diagram_texts(job, replace(plan, wiring=replace(plan.wiring, runs=sure)))
    assert "* length estimated" not in known


def diagram_texts(job: Job, plan: Plan) -> list[list[str]]:
    """The texts of each sheet of the diagram."""
    found = []
    for leaf in diagram_leaves(job, plan):
        lettering = leaf_lettering(leaf)
        assert overlapping(lettering) == []
        found.append([t.text for t in lettering])
    return found


def test_the_diagram_keeps_both_sizes_where_there_is_little_room() -> None:
    """The length goes first, and is on the cable schedule."""
    _, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    run = replace(plan.wiring.runs[0], size_mm2=95.0, size_awg="4/0", length_mm=12345.0, estimated=True)
    both = f"{run.run}  95 mm² / 4/0 AWG"
    assert run_words(run, 80.0) == run_words(run, 80.0, 2) == (f"{both}  12.35* m",)
    assert run_words(run, 33.0) == (both,)
    assert run_words(run, 33.0, 2) == (both, "12.35* m")
    assert run_words(replace(run, size_mm2=None), 80.0) == (f"{run.run}  4/0 AWG  12.35* m",)
    assert run_words(replace(run, size_awg=None), 80.0) == (f"{run.run}  95 mm²  12.35* m",)
    assert "no size serves" in run_words(replace(run, size_mm2=None, size_awg=None), 80.0)[0]


@pytest.mark.parametrize("name", WIRED)
def test_the_diagram_says_both_sizes_of_every_run(name: str) -> None:
    _, plan = WIRED[name]()
    drawn = {t.text for lettering in wiring_sheets(name)[1] for t in lettering}
    assert plan.wiring is not None
    for run in plan.wiring.runs:
        if run.kind == "main":  # a column of words beside the battery
            assert {run.run, f"{run.size_mm2:g} mm²", f"{run.size_awg} AWG"} <= drawn
        elif run.size_mm2 is not None and run.size_awg is not None:
            both = f"{run.run}  {run.size_mm2:g} mm² / {run.size_awg} AWG"
            assert any(text.startswith(both) for text in drawn), both


def test_the_diagram_shows_the_busbar_with_its_cable_and_the_main_fuse() -> None:
    """Portable panels go past it to the battery."""
    job, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    main = runs_of(plan).main
    assert main is not None
    texts = [t.text for leaf in diagram_leaves(job, plan) for t in leaf_lettering(leaf)]
    for words in ("busbar", main.run, "95 mm²", "3/0 AWG", "0.25 m", "300 A"):
        assert sum(t.rstrip("*").replace("* ", " ") == words for t in texts) == 1, words
    alone = tuple(r for r in plan.wiring.runs if r.kind != "main")
    bare = replace(plan, wiring=replace(plan.wiring, runs=alone))
    assert runs_of(bare).main is None
    assert "busbar" not in [t.text for leaf in diagram_leaves(job, bare) for t in leaf_lettering(leaf)]
