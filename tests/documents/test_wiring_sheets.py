"""The workshop set of the wiring: all there, legible, nothing covered, nothing outside the frame."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from rooflayout.documents.strings_sheet import (
    WIRING_CAUTIONS,
)
from rooflayout.documents.warning import SHORT_CAUTION
from rooflayout.documents.wiring_set import draw_wiring, leaves_of, wiring_files

from .lettering_on_sheets import overlapping
from .opened_sheets import across_the_title_block, capitals_mm, opened, outside_frame, wiring_sheets, words_of
from .samples import SAMPLES
from .wiring_samples import WIRED


@cache
def kinds_of(plan_name: str) -> list[str]:
    return [leaf.document_type for leaf in leaves_of(*WIRED[plan_name]())]


@pytest.mark.parametrize("name", WIRED)
def test_no_text_covers_another(name: str) -> None:
    for lettering in wiring_sheets(name)[1]:
        assert len(lettering) > 20
        assert overlapping(lettering) == []


@pytest.mark.parametrize("name", WIRED)
def test_all_text_stands_within_the_frame_and_above_the_title_block(name: str) -> None:
    for paper, lettering in zip(*wiring_sheets(name), strict=True):
        assert outside_frame(paper, lettering) == []
        assert across_the_title_block(paper, lettering) == []


@pytest.mark.parametrize("name", WIRED)
def test_tables_are_lettered_for_arms_length(name: str) -> None:
    # ISO 3098 (from memory): 2.5 mm is the size for ordinary lettering
    for lettering in wiring_sheets(name)[1]:
        heights = capitals_mm(lettering)
        assert min(heights) >= 1.8 - 1e-6
        assert sorted(heights)[len(heights) // 2] >= 2.5 - 1e-6


def test_every_part_has_its_sheet_in_order() -> None:
    kinds = list(dict.fromkeys(kinds_of("twelve_strings")))
    assert kinds == [
        "String schedule",
        "Cable schedule",
        "Single-line diagram",
        "Mounting elevation",
        "Bench sheet",
        "Labels",
    ]


@pytest.mark.parametrize("name", WIRED)
def test_the_set_names_every_string_run_and_controller(name: str) -> None:
    _, plan = WIRED[name]()
    words = words_of(wiring_sheets(name)).split()
    assert plan.wiring is not None
    for named in (
        *(s.string for s in plan.wiring.strings),
        *(r.run for r in plan.wiring.runs),
        *(c.controller for c in plan.wiring.controllers),
    ):
        assert sum(named in (w, w.strip(":,")) for w in words) >= 3, named


@pytest.mark.parametrize("name", WIRED)
def test_cautions_are_on_every_set_and_every_sheet(name: str) -> None:
    for lettering in wiring_sheets(name)[1]:
        assert SHORT_CAUTION.split(".")[0] in " ".join(t.text for t in lettering)
    for caution in WIRING_CAUTIONS:
        assert caution in words_of(wiring_sheets(name))


@pytest.mark.parametrize(
    ("part", "gone"),
    [
        ({"runs": ()}, {"Cable schedule", "Single-line diagram", "Labels"}),
        ({"readings": ()}, {"Bench sheet"}),
        ({"mounted": None}, {"Mounting elevation"}),
        ({"mounted": ()}, {"Mounting elevation"}),
    ],
)
def test_a_part_without_data_is_left_out(part: dict[str, object], gone: set[str]) -> None:
    job, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    if "readings" in part:
        part = {**part, "portable_readings": ()}
    less = replace(plan, wiring=replace(plan.wiring, **part))  # type: ignore[arg-type]
    all_kinds = {leaf.document_type for leaf in leaves_of(job, plan)}
    assert {leaf.document_type for leaf in leaves_of(job, less)} == all_kinds - gone


def test_texts_without_data_are_left_out() -> None:
    job, plan = SAMPLES["trailer"]()
    _, sheets = opened(draw_wiring, job, plan)
    texts = {t.text for lettering in sheets for t in lettering}
    assert "Strings" in texts
    assert "Cautions" in texts
    assert not texts & {"Why wired so", "Mismatch", "Portable panels, set up beside the vehicle", "Cables"}


def test_nothing_is_drawn_where_nothing_is_wired() -> None:
    assert wiring_files(*SAMPLES["unwired"]()) == {}
    job, plan = SAMPLES["trailer"]()
    assert plan.wiring is not None
    assert wiring_files(job, replace(plan, wiring=replace(plan.wiring, strings=(), controllers=()))) == {}
