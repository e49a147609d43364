"""Names on the drawing: words kept whole, turned as the panel lies, apart from each other, none lost."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import combinations

import pytest
from matplotlib.colors import to_hex
from matplotlib.patches import Polygon as Patch
from shapely import Polygon
from shapely import box as rectangle

from rooflayout.documents.box import Box
from rooflayout.documents.callouts import Surroundings, place_callout
from rooflayout.documents.lettering import NORMAL
from rooflayout.documents.naming import Field, Margin, plan_names
from rooflayout.documents.palette import OBSTACLE_FILL
from rooflayout.documents.paper import A3, Paper
from rooflayout.documents.roof import draw_facet
from rooflayout.documents.shapes import clipped
from rooflayout.documents.stack import Line, PanelWords, Stack, panel_stacks
from rooflayout.documents.view import PlacedView, plan_view
from rooflayout.job import Facet
from rooflayout.plan import PlacedPanel

from .samples import SAMPLES, box, make_job, make_plan, outline, round_thing

FLEXIBLE = PanelWords("P6", "S3", False, "Mica 90 flexible", "1080 × 420", "90 W")


def stack_of(words: PanelWords, width: float, height: float) -> Stack:
    found = panel_stacks([words], width, height)
    assert found is not None
    return found[0]


def words_in(stack: Stack) -> list[str]:
    return [word for line in stack.lines for word in line.text.split()]


def test_no_word_of_a_panel_is_ever_broken() -> None:
    r = random.Random(5)
    whole = " ".join((FLEXIBLE.number, FLEXIBLE.model, FLEXIBLE.size, FLEXIBLE.watts)).split()
    with_model = 0
    for _ in range(300):
        width, height = r.uniform(4, 60), r.uniform(4, 60)
        stacks = panel_stacks([FLEXIBLE], width, height)
        if stacks is not None:
            assert set(words_in(stacks[0])) <= set(whole), (width, height)
            with_model += "flexible" in words_in(stacks[0])
    assert 50 < with_model < 300


def test_a_model_that_does_not_fit_leaves_number_and_watts() -> None:
    # 7.6 mm of paper hold no three lines of 1.8 mm, and 19 mm not the whole name in one.
    for width, height in ((19.0, 7.6), (7.6, 19.0)):
        stack = stack_of(FLEXIBLE, width, height)
        assert "flexible" not in words_in(stack)
        assert {"P6", "90", "W"} <= set(words_in(stack))
        assert any(line.badge == "S3" for line in stack.lines)


def test_words_in_a_panel_that_lies_are_level() -> None:
    r = random.Random(6)
    for _ in range(300):
        height = r.uniform(4, 40)
        stacks = panel_stacks([FLEXIBLE], height * r.uniform(1.0, 4.0), height)
        assert stacks is None or not stacks[0].vertical


def test_words_in_a_slim_upright_panel_run_along_it() -> None:
    stack = stack_of(FLEXIBLE, 420 / 25, 1080 / 25)
    assert stack.vertical
    assert "flexible" in words_in(stack)


def test_names_on_leaders_keep_a_clear_space_between_them() -> None:
    """Two names in a row read as one where hardly more than a blank (0.32 em: 1.1 mm) parts them."""
    solid = Box(0, 0, 100, 50)
    around = Surroundings(solid, (solid,), (60.0, 66.0, 72.0), -30, 130)
    boxes: list[Box] = []
    for k in range(5):
        callout = place_callout(f"cross rail {k}", [(10.0 + 20 * k, 40.0)], around)
        assert callout is not None
        boxes.append(callout.box)
        around.add(callout)
    for a, b in combinations(boxes, 2):
        beside = max(a.x0, b.x0) - min(a.x1, b.x1)
        over = max(a.y0, b.y0) - min(a.y1, b.y1)
        assert beside >= 5.0 or over >= 1.5


@pytest.mark.parametrize("name", SAMPLES)
def test_names_of_the_samples_keep_it_too(name: str) -> None:
    job, plan = SAMPLES[name]()
    for facet in job.facets:
        names = plan_view(job, plan, facet, 40).names
        for a, b in combinations([c.box for c in names.callouts], 2):
            beside = max(a.x0, b.x0) - min(a.x1, b.x1)
            assert beside >= 5.0 or max(a.y0, b.y0) - min(a.y1, b.y1) >= 1.5


def test_a_name_without_room_above_goes_beside_the_roof() -> None:
    vent = round_thing("stall vent", "f", 900, 500, 60, clearance_mm=1000)
    field = Field((), {}, (vent,), outline(1000, 1000), Box(0, 0, 1000, 1000), 20)
    nowhere = Margin(figures=(), first_row=60.0, row_height=6.0, start=0.0, end=0.0, beside=62.0)
    names, _ = plan_names(field, nowhere)
    assert names.unplaced == ()
    (callout,) = names.callouts
    assert callout.box.x0 >= 62.0
    assert names.beside_mm == pytest.approx(callout.box.x1 - 62.0)
    above, rows = plan_names(field, Margin((), 60.0, 6.0, 0.0, 80.0, 62.0))
    assert rows == 1  # where there is room above the roof it is taken first
    assert above.beside_mm == 0.0


def test_a_panel_without_a_label_of_its_own_is_named_outside() -> None:
    first = PlacedPanel("P0", "f", "Tern 150", 0, 0, 400, 300, False, 150)
    panels = (first, replace(first, panel="P1", x_mm=500))
    field = Field(panels, {}, (), outline(1000, 1000), Box(0, 0, 1000, 1000), 20)
    label = Stack((Line("P0", NORMAL, True),))
    names, _ = plan_names(field, Margin((), 60.0, 6.0, 0.0, 80.0, 62.0), {"P0": label})
    assert names.panels == {"P0": label}
    assert [c.text for c in names.callouts] == ["P1"]


def test_the_part_within_a_box_is_what_shapely_finds() -> None:
    r = random.Random(4)
    window = Box(0, 0, 10, 6)
    for _ in range(200):
        points = [(r.uniform(-8, 18), r.uniform(-8, 14)) for _ in range(3)]
        expected = Polygon(points).intersection(rectangle(0, 0, 10, 6)).area
        part = clipped(points, window)
        assert (Polygon(part).area if len(part) > 2 else 0.0) == pytest.approx(expected, abs=1e-9)
    assert clipped([(20, 20), (30, 20), (30, 30)], window) == []


def test_what_overhangs_the_roof_stays_clear_of_the_dimension_lines() -> None:
    facet = Facet("main", outline(4000, 2000))
    awning = box("awning", "main", -700, 1800, 5400, 900, clearance_mm=30)
    mast = round_thing("mast", "main", 4000, 300, 600)
    job = make_job("Overhang", [facet], [awning, mast])
    view = plan_view(job, make_plan(job, (), None), facet, 20)
    placed, paper = PlacedView(view, 40.0, 60.0), Paper(A3)
    draw_facet(paper, placed, {})
    roof = placed.roof_box
    filled = [
        [(float(x), float(y)) for x, y in patch.get_xy()]
        for patch in paper.figure.axes[0].patches
        if isinstance(patch, Patch) and to_hex(patch.get_facecolor()) == OBSTACLE_FILL.lower()
    ]
    assert len(filled) == 2
    # Overall lengths stand 5 mm from the roof, one with its figures on this side; running ones 6 mm.
    for x, y in (point for points in filled for point in points):
        assert roof.x0 - 2.01 <= x <= roof.x1 + 2.01
        assert roof.y0 - 2.01 <= y <= roof.y1 + 2.01
    for name in view.names.obstacles:
        assert roof.contains(name.stack.box_at(*placed.shift(name.centre)))
    assert view.names.unplaced == ()
