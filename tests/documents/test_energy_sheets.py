"""The energy set: all there, legible, nothing covered, nothing outside the frame."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import pytest

from rooflayout.documents.arrange import upper_box
from rooflayout.documents.energy_set import draw_energy, energy_files, energy_leaves
from rooflayout.documents.key import draw_scale_bar
from rooflayout.documents.paper import A4, Paper
from rooflayout.documents.write import write_documents

from .energy_samples import WITH_ENERGY, balanced, energy_for, trailer_vehicle
from .lettering_on_sheets import overlapping
from .opened_sheets import (
    across_the_title_block,
    capitals_mm,
    energy_set_files,
    energy_sheets,
    opened,
    outside_frame,
    words_of,
)
from .random_roofs import random_roof
from .samples import SAMPLES


@cache
def kinds_of(name: str) -> list[str]:
    return list(dict.fromkeys(leaf.document_type for leaf in energy_leaves(*WITH_ENERGY[name]())))


@pytest.mark.parametrize("name", WITH_ENERGY)
def test_no_text_covers_another(name: str) -> None:
    for lettering in energy_sheets(name)[1]:
        assert len(lettering) > 20
        assert overlapping(lettering) == []


@pytest.mark.parametrize("name", WITH_ENERGY)
def test_all_text_stands_within_the_frame_and_beside_the_title_block(name: str) -> None:
    for paper, lettering in zip(*energy_sheets(name), strict=True):
        assert outside_frame(paper, lettering) == []
        assert across_the_title_block(paper, lettering) == []


@pytest.mark.parametrize("name", WITH_ENERGY)
def test_no_lettering_is_too_small_to_read(name: str) -> None:
    for lettering in energy_sheets(name)[1]:  # ISO 3098 (from memory): 1.8 mm is the smallest
        assert min(capitals_mm(lettering)) >= 1.8 - 1e-6


def test_every_part_has_its_sheet_in_order() -> None:
    months = ["Sun and loads", "Through the year", "Month by month"]
    assert kinds_of("boat") == [*months, "Shade map", "Mass and balance"]
    # much is said of a lead battery that runs empty: the months stand under the band then
    assert kinds_of("trailer") == [*months[:2], "Battery and loads", "Shade map", "Mass and balance"]


@pytest.mark.parametrize(
    ("name", "gone"),
    [
        ("twelve_loads", {"Shade map", "Mass and balance"}),
        ("no_battery", {"Through the year", "Month by month", "Mass and balance"}),
        ("balance_alone", {"Sun and loads", "Through the year", "Month by month", "Shade map"}),
    ],
)
def test_only_sheets_with_something_to_show(name: str, gone: set[str]) -> None:
    assert set(kinds_of("boat")) - set(kinds_of(name)) == gone


def test_nothing_is_written_where_neither_sun_nor_mass_is_known() -> None:
    assert energy_files(*SAMPLES["trailer"]()) == {}


def test_a_year_in_which_nothing_comes_in_and_nothing_is_drawn_has_no_chart() -> None:
    job, plan = WITH_ENERGY["no_loads"]()
    assert plan.energy is not None
    dark = tuple(replace(m, harvest_wh_day=0.0) for m in plan.energy.months)
    assert energy_leaves(job, replace(plan, energy=replace(plan.energy, months=dark))) == []


def test_the_same_plan_gives_the_same_bytes() -> None:
    first = energy_set_files("trailer")
    assert first == energy_files(*WITH_ENERGY["trailer"]())
    assert first["energy.pdf"].startswith(b"%PDF")
    sheets = len(energy_sheets("trailer")[0])
    assert list(first) == ["energy.pdf", "energy.png", *(f"energy-{k}.png" for k in range(2, sheets + 1))]
    assert sheets > 2


@pytest.mark.usefixtures("no_other_set_drawn")
def test_an_old_set_goes_away_with_its_plan(tmp_path) -> None:  # type: ignore[no-untyped-def]
    job, plan = WITH_ENERGY["no_loads"]()
    assert tmp_path / "energy.pdf" in write_documents(job, plan, tmp_path)
    assert (tmp_path / "energy.pdf").stat().st_size > 1000
    sheets = len(energy_sheets("no_loads")[0])
    pictures = {f"energy{n}.png" for n in ("", *(f"-{k}" for k in range(2, sheets + 1)))}
    assert {p.name for p in tmp_path.glob("energy*.png")} == pictures
    assert (tmp_path / "months.csv").exists()
    write_documents(job, replace(plan, energy=None), tmp_path)
    assert not list(tmp_path.glob("energy*"))
    assert not (tmp_path / "months.csv").exists()


def test_year_place_and_uncertainty_stand_on_every_sheet_of_the_sun() -> None:
    """Where the figures are from is said once in the set; nothing by the title block is cut short."""
    sources = 0
    for leaf, lettering in zip(
        energy_leaves(*WITH_ENERGY["trailer"]()), energy_sheets("trailer")[1], strict=True
    ):
        words = " ".join(t.text for t in lettering)
        told = "within 16 % at nine places in ten, a single month within 27 %. " in words
        assert told is (leaf.document_type not in ("Shade map", "Mass and balance"))
        assert told is ("The sun alone is known to 15 %." in words)
        assert told is ("12.3 N 45.6 E, 78 km from Invented Town: 3.5 kWh/m² a day on the level" in words)
        assert told is ("no year is like the one before." in words)
        sources += "mean sun of an invented place" in words
    assert sources == 1


@pytest.mark.parametrize("name", ["trailer", "three_controllers"])
def test_no_sheet_of_the_sun_is_half_empty(name: str) -> None:
    """The lowest lettering above the title block stands in the lower third of the space for it."""
    box = upper_box(A4)
    leaves = energy_leaves(*WITH_ENERGY[name]())
    for leaf, lettering in zip(leaves, energy_sheets(name)[1], strict=True):
        if leaf.document_type in ("Shade map", "Mass and balance"):
            continue
        lowest = min(t.y0 for t in lettering if t.y0 > box.y0)
        assert lowest < box.y0 + box.height / 3, leaf.document_type


def test_clipping_autonomy_refill_and_ratio_are_said() -> None:
    words = words_of(energy_sheets("three_controllers"))
    for controller in ("C1", "C2", "C3"):
        assert f"{controller} (Dunlin 150/60 twin): 60 A passes 96 % of what 2080 W" in words
    assert "without sun or driving: 1.8 days" in words
    assert "3.1 hours of full sun from overhead (1000 W/m² on the level)" in words
    assert "W for each Ah" in words


def test_cautions_defer_to_plates_and_local_codes() -> None:
    assert "their plates rule" in words_of(energy_sheets("trailer"))
    for name in ("trailer", "boat", "three_controllers"):
        assert "Local codes and licensed practice rule." in words_of(energy_sheets(name))
    assert "To mind Over limit The coupling would carry" in words_of(energy_sheets("trailer"))


def test_a_scale_bar_and_its_words_stay_in_their_room() -> None:
    for denominator in (20, 25, 30, 40, 50, 100):
        for room in (80.0, 92.0):
            paper = Paper(A4)
            draw_scale_bar(paper, 23.0, 13.0, denominator, room)
            assert max(b.x1 for b in paper.text_boxes) <= 23.0 + room


@pytest.mark.parametrize("seed", [8, 10, 25])  # those that once overlapped
def test_random_roofs_keep_their_lettering_apart(seed: int) -> None:
    job, plan = balanced(*random_roof(random.Random(seed)), trailer_vehicle())
    plan = replace(plan, energy=energy_for(job, plan, portable=True))
    for paper, lettering in zip(*opened(draw_energy, job, plan), strict=True):
        assert overlapping(lettering) == []
        assert outside_frame(paper, lettering) == []
