"""Take a plan that holds, change one thing: inspection notices."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hand_made import (
    NAN,
    REED,
    codes,
    the_good_job,
    the_good_plan,
    with_layout,
    with_panel,
    with_string,
    with_wiring,
)
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import KeptPanel

JOB, GOOD = the_good_job(), the_good_plan()
PANELS = GOOD.layout.panels
PLACES = {"outline", "panel-gap", "obstacle"}

# What every panel of the good plan touches, as (index, step along x, step along y): the margin or a
# neighbour's gap, so that any step of 1 mm or more that way breaks a rule.
TIGHT = [
    (0, -1, 0),  # P1: left margin
    (0, 0, -1),  # lower margin
    (0, 1, 0),  # P2
    (0, 0, 1),  # P4
    (1, -1, 0),  # P2: P1
    (1, 1, 0),  # P3
    (1, 0, -1),  # lower margin
    (2, -1, 0),  # P3: P2
    (2, 0, -1),  # lower margin
    (3, -1, 0),  # P4: left margin
    (3, 0, -1),  # P1
]
STEPS = st.one_of(st.integers(1, 700), st.floats(1e-3, 700, allow_nan=False))


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(TIGHT), STEPS)
def test_a_panel_moved_towards_what_it_touches(move: tuple[int, int, int], step: float) -> None:
    index, dx, dy = move
    panel = PANELS[index]
    moved = with_panel(GOOD, index, x_mm=panel.x_mm + dx * step, y_mm=panel.y_mm + dy * step)
    found = codes(JOB, moved)
    assert found
    assert found <= PLACES


@settings(max_examples=200, deadline=None)
@given(st.integers(0, 3), st.integers(-3000, 6000), st.integers(-1500, 3000))
def test_a_panel_moved_anywhere(index: int, x: int, y: int) -> None:
    """Held against whole-number arithmetic on the good job's rectangles."""
    panel = PANELS[index]
    right, top = x + panel.along_x_mm, y + panel.along_y_mm
    inside = x >= 40 and y >= 40 and right <= 4960 and top <= 2160
    off_hatch = right <= 1960 or x >= 2440 or top <= 960 or y >= 1440
    apart = all(
        right + 20 <= p.x_mm or p.x_mm + 1400 + 20 <= x or top + 20 <= p.y_mm or p.y_mm + 700 + 20 <= y
        for p in PANELS
        if p.panel != panel.panel
    )
    assert (codes(JOB, with_panel(GOOD, index, x_mm=x, y_mm=y)) == set()) is (inside and off_hatch and apart)


@settings(max_examples=50, deadline=None)
@given(st.integers(0, 400))
def test_a_panel_moved_where_there_is_room_still_holds(step: int) -> None:
    """P4 may rise to the upper margin: 760 + 700 + 700 = 2160 mm, and P3 move right to it."""
    assert inspect_plan(JOB, with_panel(GOOD, 3, y_mm=760 + step)) == []
    assert inspect_plan(JOB, with_panel(GOOD, 2, x_mm=2880 + step)) == []


@settings(max_examples=100, deadline=None)
@given(
    st.sampled_from(["along_x_mm", "along_y_mm", "watts"]),
    st.integers(0, 3),
    st.one_of(st.floats(-500, -0.1), st.floats(1.1, 500)),
)
def test_a_panels_number_changed(field: str, index: int, off: float) -> None:
    changed = with_panel(GOOD, index, **{field: getattr(PANELS[index], field) + off})
    assert codes(JOB, changed) & {"panel-size", "panel-watts"}


SHARES = st.one_of(st.floats(-2, 0.99), st.floats(1.01, 3))


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(["voc_cold_v", "vmp_hot_v", "isc_a", "power_w"]), st.integers(0, 1), SHARES)
def test_a_strings_number_changed(field: str, index: int, share: float) -> None:
    assert GOOD.wiring is not None
    stated = getattr(GOOD.wiring.strings[index], field)
    assert codes(JOB, with_string(GOOD, index, **{field: stated * share})) == {"stated-value"}


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(["power_w", "isc_a", "charge_a", "clipped_w", "clipped_pct"]), SHARES)
def test_a_controllers_number_changed(field: str, share: float) -> None:
    assert GOOD.wiring is not None
    load = GOOD.wiring.controllers[0]
    changed = replace(load, **{field: getattr(load, field) * share})
    assert codes(JOB, with_wiring(GOOD, controllers=(changed,))) == {"stated-value"}


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(["watts", "bound_watts"]), st.floats(0, 3000))
def test_the_layouts_number_changed(field: str, value: float) -> None:
    assume(abs(value - 800) > 0.06)
    assert codes(JOB, with_layout(GOOD, **{field: value})) & {"layout-watts", "bound", "proof"}


@pytest.mark.parametrize("index", range(4))
def test_a_panel_left_out_or_doubled(index: int) -> None:
    left = PANELS[:index] + PANELS[index + 1 :]
    assert {"string-panel", "layout-watts"} <= codes(JOB, with_layout(GOOD, panels=left))
    doubled = (*PANELS, replace(PANELS[index], panel="P5"))
    assert {"panel-gap", "panel-unwired"} <= codes(JOB, with_layout(GOOD, panels=doubled))


@pytest.mark.parametrize("index", range(4))
@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"turned": True}, "panel-size"),
        ({"model": "Reed"}, "panel-size"),
        ({"model": "Fenn"}, "unknown-model"),
        ({"facet": "mane"}, "unknown-facet"),
        ({"facet": "rear"}, "string-mixed"),
        ({"kept": True}, "kept-invented"),
        ({"panel": "P9"}, "string-panel"),
        ({"x_mm": NAN}, "position"),
    ],
)
def test_a_panels_word_changed(index: int, changes: dict[str, object], code: str) -> None:
    assert code in codes(JOB, with_panel(GOOD, index, **changes))


@pytest.mark.parametrize("index", [0, 1])
def test_a_string_left_out_shortened_or_crossed(index: int) -> None:
    assert GOOD.wiring is not None
    strings = GOOD.wiring.strings
    gone = with_wiring(GOOD, strings=strings[:index] + strings[index + 1 :])
    assert {"panel-unwired", "layout-watts", "stated-value"} <= codes(JOB, gone)
    short = with_string(GOOD, index, panels=strings[index].panels[:1])
    assert {"panel-unwired", "strings-unlike", "charge-voltage", "stated-value"} <= codes(JOB, short)
    crossed = with_string(GOOD, index, panels=("P1", "P2"))
    assert {"panel-twice", "panel-unwired"} <= codes(JOB, crossed)


def test_a_rule_of_the_job_changed_under_the_plan() -> None:
    assert codes(replace(JOB, spacing=replace(JOB.spacing, between_panels_mm=20.1)), GOOD) == {"panel-gap"}
    assert codes(replace(JOB, spacing=replace(JOB.spacing, from_edge_mm=40.1)), GOOD) == {"outline"}
    kept = KeptPanel(REED, "main", 3000, 1500)
    assert codes(replace(JOB, kept=(kept,)), GOOD) == {"kept-missing"}
    assert JOB.battery is not None
    higher = replace(JOB, battery=replace(JOB.battery, charge_v=29.0))
    assert "charge-voltage" in codes(higher, GOOD)
