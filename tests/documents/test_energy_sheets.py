"""The energy set: all there, legible, nothing covered, nothing outside the frame; figures as in the plan."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.transforms import Bbox

from rooflayout.documents.arrange import upper_box
from rooflayout.documents.balance_sheet import bearings_table, facts_block, items_table, signed
from rooflayout.documents.box import Box
from rooflayout.documents.charge_band import ChargeBand, sentences_blocks
from rooflayout.documents.chart import DAYS, SHORT_MONTHS, levels, month_edges
from rooflayout.documents.energy_set import draw_energy, energy_files, energy_leaves
from rooflayout.documents.key import draw_scale_bar
from rooflayout.documents.month_chart import load_hours_table, months_table
from rooflayout.documents.palette import SHADE_STEPS
from rooflayout.documents.paper import A4, Paper
from rooflayout.documents.shade_picture import runs_of, step_of, step_words
from rooflayout.documents.shade_view import loss_words, shade_view
from rooflayout.documents.vehicle_sketch import centre_on_vehicle_mm, plan_sketch, supports_of
from rooflayout.documents.write import write_documents
from rooflayout.needs import Load
from rooflayout.yields import Balance, Bearing, LoadHours, ShadeMap

from .energy_samples import LOAD_NAMES, WITH_ENERGY, balanced, energy_for, trailer_vehicle
from .lettering_on_sheets import overlapping
from .opened_sheets import across_the_title_block, capitals_mm, energy_sheets, opened, outside_frame, words_of
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
    first, again = (energy_files(*WITH_ENERGY["trailer"]()) for _ in range(2))
    assert first == again
    assert first["energy.pdf"].startswith(b"%PDF")
    sheets = len(energy_sheets("trailer")[0])
    assert list(first) == ["energy.pdf", "energy.png", *(f"energy-{k}.png" for k in range(2, sheets + 1))]
    assert sheets > 2


def test_an_old_set_goes_away_with_its_plan(tmp_path) -> None:  # type: ignore[no-untyped-def]
    job, plan = WITH_ENERGY["no_loads"]()
    assert tmp_path / "energy.pdf" in write_documents(job, plan, tmp_path)
    assert (tmp_path / "energy.pdf").stat().st_size > 1000
    pictures = {f"energy{n}.png" for n in ("", *(f"-{k}" for k in range(2, len(draw_energy(job, plan)) + 1)))}
    assert {p.name for p in tmp_path.glob("energy*.png")} == pictures
    assert (tmp_path / "months.csv").exists()
    write_documents(job, replace(plan, energy=None), tmp_path)
    assert not list(tmp_path.glob("energy*"))
    assert not (tmp_path / "months.csv").exists()


def test_months_table_says_what_the_plan_says() -> None:
    _, plan = WITH_ENERGY["trailer"]()
    assert plan.energy is not None
    rows = {row.cells[0]: row.cells[1:] for row in months_table(plan.energy).rows}
    december = {name: cells[11] for name, cells in rows.items()}
    m = plan.energy.months[11]
    assert december == {
        "sun, kWh/m² a day": "0.9",
        "roof panels, Wh a day": str(round(m.harvest_wh_day / 10) * 10),
        "portable panels, Wh a day": "300",
        "driving, Wh a day": "0",
        "loads, Wh a day": "2400",
        "battery runs empty, % of days": f"{m.empty_pct:.0f}",
        "with 27 % less sun, % of days": f"{m.empty_less_sun_pct:.0f}",
        "with 27 % more sun, % of days": f"{m.empty_more_sun_pct:.0f}",
        "finds the battery full, %": f"{m.spilled_pct:.0f}",
        "charge at sunrise, low, %": f"{m.soc_low_pct:.0f}",
        "charge at sunrise, middle, %": f"{m.soc_middle_pct:.0f}",
        "charge at sunrise, high, %": f"{m.soc_high_pct:.0f}",
    }


def test_what_is_nowhere_has_no_row() -> None:
    _, plan = WITH_ENERGY["no_loads"]()
    assert plan.energy is not None
    names = [row.cells[0] for row in months_table(plan.energy).rows]
    assert names == ["sun, kWh/m² a day", "roof panels, Wh a day"]


def wh_per_mm(paper: Paper) -> tuple[float, float]:
    """Where 0 stands on the chart, and how many Wh a mm is, read off its figures."""
    figures = {t.get_text(): t.get_position()[1] for t in paper.figure.axes[0].texts if t.get_ha() == "right"}
    zero = figures["0"] + 1.25  # figures are 2.5 mm high and centred on their level
    return zero, 2000.0 / (figures["2000"] - figures["0"])


def test_bars_stand_over_their_columns_and_are_as_high_as_what_comes_in() -> None:
    paper = energy_sheets("trailer")[0][0]
    _, plan = WITH_ENERGY["trailer"]()
    assert plan.energy is not None
    zero, wh = wh_per_mm(paper)
    months = plan.energy.months
    bars = {fill: bars_filled(paper, fill) for fill in ("#b3cbe6", "#fbe6d4", "#e9edcc")}
    roof, portable, driving = bars.values()
    assert [b.height * wh for b in roof] == pytest.approx([m.harvest_wh_day for m in months])
    assert [b.y0 for b in roof] == pytest.approx([zero] * 12)
    assert [b.height * wh for b in portable] == pytest.approx([300.0] * 12)
    assert [b.y0 for b in portable] == pytest.approx([b.y1 for b in roof])
    assert [b.height * wh for b in driving] == pytest.approx([400.0] * 6)
    middles = [(b.x0 + b.x1) / 2 for b in roof]
    for index, name in enumerate(SHORT_MONTHS):  # under the bar and over the table's column
        heads = [(t.x0 + t.x1) / 2 for t in energy_sheets("trailer")[1][0] if t.text == name]
        assert heads == pytest.approx([middles[index]] * 2, abs=0.3)


def bars_filled(paper: Paper, fill: str) -> list[Bbox]:
    """The boxes of what has a fill, from left to right; the key stands left of 60 mm."""
    patches = (p for p in paper.figure.axes[0].patches if p.get_facecolor()[:3] == to_rgb(fill))
    boxes = (p.get_path().get_extents() for p in patches)
    return sorted((b for b in boxes if b.x0 > 60), key=lambda b: b.x0)


def test_the_line_of_the_loads_is_as_high_as_what_is_drawn() -> None:
    paper = energy_sheets("trailer")[0][0]
    zero, wh = wh_per_mm(paper)
    bold = [x for x in paper.figure.axes[0].lines if len(x.get_xdata()) == 24]  # two ends a month
    assert len(bold) == 2  # a white rim, and the line itself
    for line in bold:
        assert [(y - zero) * wh for y in line.get_ydata()] == pytest.approx([2400.0] * 24)


def test_levels_are_round_and_reach_over_the_most() -> None:
    assert levels(6300.0) == (0.0, 2000.0, 4000.0, 6000.0, 8000.0)
    assert levels(0.31) == pytest.approx((0.0, 0.1, 0.2, 0.3, 0.4))
    assert levels(6.0) == (0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0)
    assert levels(0.0) == (0.0, 1.0)


def test_months_on_the_band_are_as_long_as_their_days() -> None:
    edges = np.array(month_edges(Box(10.0, 0.0, 10.0 + 365.0, 50.0)))
    assert np.diff(edges) == pytest.approx(DAYS)
    assert sum(DAYS) == 365


def test_the_band_lies_between_low_and_high_of_its_days() -> None:
    band = tuple((10.0, 50.0, 90.0) if d < 100 else (40.0, 60.0, 80.0) for d in range(365))
    paper = Paper(A4)
    ChargeBand(band, 70.0).draw(paper, 20.0, 190.0, 260.0)
    filled = [p.get_path().get_extents() for p in paper.figure.axes[0].patches]
    area = max(filled, key=lambda e: e.width)
    figures = {t.get_text(): t.get_position()[1] for t in paper.figure.axes[0].texts}
    hundred = figures["100"] - figures["0"]  # paper between 0 and 100 %
    zero = 190.0 - 70.0 + 6.0
    assert area.y0 - zero == pytest.approx(0.1 * hundred)
    assert area.y1 - zero == pytest.approx(0.9 * hundred)


def test_sentences_name_each_month_once() -> None:
    _, plan = WITH_ENERGY["trailer"]()
    assert plan.energy is not None
    (block,) = sentences_blocks(plan.energy)
    assert len(block.sentences) == 12  # type: ignore[attr-defined]
    for month, sentence in zip(plan.energy.months, block.sentences, strict=True):  # type: ignore[attr-defined]
        assert month.sentence.lower().endswith(sentence.lower())
        assert not sentence.startswith("In ")


@pytest.mark.parametrize("name", ["trailer", "three_controllers"])
def test_names_on_the_shade_map_mind_its_own_lettering(name: str) -> None:
    """What stands in the way of a name is the panels' number and loss, not the drawing's longer words."""
    job, plan = WITH_ENERGY[name]()
    for facet in job.facets:
        view = shade_view(job, plan, facet, 25, 250.0, {})
        assert view.labels
        assert view.names.panels == view.labels
        assert all(len(line.text) <= 12 for stack in view.labels.values() for line in stack.lines)


def test_every_load_of_known_watts_has_its_row() -> None:
    _, plan = WITH_ENERGY["twelve_loads"]()
    assert plan.energy is not None
    table = load_hours_table(plan.energy.load_hours)
    assert table is not None
    assert [row.cells[0] for row in table.rows] == list(LOAD_NAMES)
    assert table.rows[0].cells[6] == "12.8"  # 2.1 times June's 6.1
    assert "–" not in table.footnotes[0]


def test_hours_of_a_load_stand_in_the_months_in_which_it_runs() -> None:
    hours = (LoadHours("fan", (4.0,) * 12), LoadHours("fridge", (5.0,) * 12))
    table = load_hours_table(hours, [Load("fan", 60.0, 30.0, months=(3, 4, 5)), Load("fridge", 60.0, 30.0)])
    assert table is not None
    assert table.rows[0].cells == ("fan", "–", "–", "4.0", "4.0", "4.0", *["–"] * 7)
    assert table.rows[1].cells == ("fridge", *["5.0"] * 12)
    assert table.footnotes[0].endswith("–: a month in which it does not run.")


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


def test_shade_steps_darken_in_grey() -> None:
    # Rec. ITU-R BT.601 luma, from memory: 0.299 R + 0.587 G + 0.114 B.
    lumas = [float(np.dot(to_rgb(step.fill), (0.299, 0.587, 0.114))) for step in SHADE_STEPS]
    assert all(a - b > 0.07 for a, b in pairwise(lumas))
    assert len(step_words()) == len(SHADE_STEPS)


def test_cells_go_to_their_step_and_those_side_by_side_join() -> None:
    map_ = ShadeMap("roof", 100.0, 200.0, 50.0, ((None, 1.9, 2.0, 4.9, 5.0), (41.0, 41.0, None, 0.0, 20.0)))
    found = {step.from_pct: cells for step, cells in runs_of(map_).items() if cells}
    assert found == {
        2.0: [(200.0, 200.0, 300.0, 250.0)],
        5.0: [(300.0, 200.0, 350.0, 250.0)],
        40.0: [(100.0, 250.0, 200.0, 300.0)],
        20.0: [(300.0, 250.0, 350.0, 300.0)],
    }
    assert step_of(0.0) is SHADE_STEPS[0]
    assert step_of(100.0) is SHADE_STEPS[-1]


@pytest.mark.parametrize("name", ["trailer", "sixty_panels", "crowded", "long_names"])
def test_the_shade_map_names_every_panel_with_its_loss(name: str) -> None:
    job, plan = WITH_ENERGY[name]()
    assert plan.energy is not None
    lettering = [
        t.text
        for leaf, texts in zip(energy_leaves(job, plan), energy_sheets(name)[1], strict=True)
        if leaf.document_type == "Shade map"
        for t in texts
    ]
    words = " ".join(lettering)
    for shade in plan.energy.shade:
        loss = loss_words(shade.loss_pct)
        assert any(f"{shade.panel}{gap}{loss}" in words for gap in (" ", "  ")), shade.panel


def test_small_losses_are_told_from_none() -> None:
    assert [loss_words(v) for v in (0.0, 0.03, 0.6, 14.4)] == ["0 %", "< 1 %", "1 %", "14 %"]


def test_bearings_say_before_change_after_and_limit() -> None:
    table = bearings_table(
        Balance(
            (), 25.0, None, None, None,
            (
                Bearing("coupling", 16.04, 78.0, 90.0),
                Bearing("axle", -3.0, None, 1500.0),
                Bearing("roof", 0.0),
            ),
        )
    )  # fmt: skip
    assert table is not None
    assert [row.cells for row in table.rows] == [
        ("coupling", "78.0", "+16.0", "94.0", "90", "104.5 %, over"),
        ("axle", "–", "−3.0", "–", "1500", "–"),
        ("roof", "–", "0.0", "–", "–", "–"),
    ]
    assert "Weigh it" in table.footnotes[-1]
    assert signed(-0.01) == "0.0"


def test_items_add_up_to_the_last_row() -> None:
    _, plan = WITH_ENERGY["trailer"]()
    assert plan.balance is not None
    table = items_table(plan.balance)
    assert table is not None
    *items, all_ = (row.cells for row in table.rows)
    assert sum(float(cells[1]) for cells in items) == pytest.approx(float(all_[1]), abs=0.05 * len(items))


def test_the_centre_is_said_from_axle_and_centre_line() -> None:
    job, plan = WITH_ENERGY["trailer"]()
    balance = plan.balance
    assert balance is not None
    assert balance.centre_x_mm is not None
    assert balance.centre_y_mm is not None
    block = facts_block(job, plan)
    assert block is not None
    ahead, right = balance.centre_x_mm - 1950.0, 1090.0 - balance.centre_y_mm
    words = block.paragraphs[0][1]
    assert words == (
        f"The centre of what is added lies {ahead:.0f} mm ahead of the axle and {right:.0f} mm to the right"
        " of the centre line."
    )


def test_a_facet_whose_front_is_minus_x_is_turned_for_the_sketch() -> None:
    job, plan = WITH_ENERGY["long_names"]()
    assert job.facets[0].front == "-x"
    assert plan.balance is not None
    assert plan.balance.centre_x_mm is not None
    centre = centre_on_vehicle_mm(job, plan)
    assert centre is not None
    assert centre[0] == pytest.approx(-plan.balance.centre_x_mm)
    assert [(s.name, s.ahead_mm) for s in supports_of(job)] == [("rear axle", -700.0), ("front axle", 2600.0)]


def test_a_house_has_a_sketch_without_wheels_and_centre_line() -> None:
    job, plan = WITH_ENERGY["three_controllers"]()
    assert job.vehicle is None
    assert plan_sketch(job, plan, 150.0, 80.0) is not None
    words = words_of(energy_sheets("three_controllers"))
    assert "From above, 1:" in words
    assert "centre line" not in words
    assert "What is added" in words
    assert plan_sketch(job, replace(plan, balance=None), 150.0, 80.0) is None


def test_cautions_defer_to_plates_and_local_codes() -> None:
    assert "their plates rule" in words_of(energy_sheets("trailer"))
    for name in ("trailer", "boat", "three_controllers"):
        assert "Local codes and licensed practice rule." in words_of(energy_sheets(name))
    assert "To mind Over limit The coupling would carry" in words_of(energy_sheets("trailer"))


@pytest.mark.parametrize(("before_kg", "first"), [(500.0, "To mind"), (10.0, "What is added")])
def test_a_limit_that_is_passed_comes_before_the_other_words(before_kg: float, first: str) -> None:
    job, plan = WITH_ENERGY["trailer"]()
    assert plan.balance is not None
    coupling, *others = plan.balance.bearings
    laden = replace(coupling, before_kg=before_kg, most_kg=100.0)
    balance = replace(plan.balance, bearings=(laden, *others))
    lettering = opened(draw_energy, job, replace(plan, energy=None, balance=balance))[1][0]
    found = {t.text: (-t.x0, t.y1) for t in lettering if t.text in ("To mind", "What is added")}
    assert max(found, key=lambda text: found[text]) == first
    assert any(t.text == "Over limit" for t in lettering) is (first == "To mind")


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
