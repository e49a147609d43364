"""The year on the energy set: months, bars, band and hours say what the plan says."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.transforms import Bbox

from rooflayout.documents.box import Box
from rooflayout.documents.charge_band import ChargeBand, sentences_blocks
from rooflayout.documents.chart import DAYS, SHORT_MONTHS, levels, month_edges
from rooflayout.documents.month_chart import load_hours_table, months_table
from rooflayout.documents.paper import A4, Paper
from rooflayout.needs import Load
from rooflayout.yields import LoadHours

from .energy_samples import LOAD_NAMES, WITH_ENERGY
from .opened_sheets import energy_sheets


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
