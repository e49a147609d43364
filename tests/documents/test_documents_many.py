"""Roofs of hundreds of panels: drawn in seconds, since nothing is measured again for each row or name."""

from __future__ import annotations

import random

import pytest

from rooflayout.documents import naming
from rooflayout.documents.box import Box
from rooflayout.documents.callouts import Callout, Surroundings
from rooflayout.documents.naming import Field, Margin, plan_names
from rooflayout.documents.table import Column, Row, TableBlock
from rooflayout.plan import PlacedPanel


def a_table(r: random.Random, count: int) -> TableBlock:
    words = ["P1", "a longer text that wraps in a narrow column", "115", "Paddock 115"]
    rows = tuple(Row((r.choice(words), r.choice(words)), banner=r.random() < 0.1) for _ in range(count))
    return TableBlock("Panels", (Column(("panel",), "left"), Column(("what",), "left", True)), rows)


def test_a_table_is_parted_where_one_row_more_has_no_room() -> None:
    r = random.Random(3)
    parted = 0
    for _ in range(200):
        table, width, room = a_table(r, r.randint(2, 60)), r.uniform(50, 120), r.uniform(10, 250)
        parts = table.split(width, room)
        fits = [
            n
            for n in range(1, len(table.rows))
            if not table.rows[n - 1].banner
            and TableBlock(table.title, table.columns, table.rows[:n]).height(width) <= room
        ]
        if parts is None:
            assert not fits
            continue
        parted += 1
        assert isinstance(parts[0], TableBlock)
        assert len(parts[0].rows) == max(fits)
    assert parted > 100


def test_names_of_hundreds_of_small_panels_are_tried_once(monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[str] = []

    def place(text: str, anchors: object, around: Surroundings) -> Callout | None:
        tried.append(text)
        return None

    monkeypatch.setattr(naming, "place_callout", place)
    panels = tuple(
        PlacedPanel(
            f"P{k + 1}", "barn", "Paddock 115", 500.0 * (k % 20), 500.0 * (k // 20), 490, 490, False, 115
        )
        for k in range(400)
    )
    outline = ((0.0, 0.0), (10000.0, 0.0), (10000.0, 10000.0), (0.0, 10000.0))
    field = Field(panels, {}, (), outline, Box(0, 0, 10000, 10000), 200)
    names, _ = plan_names(field, Margin((), 52.0, 4.0, 0.0, 50.0, 52.0))
    assert len(names.unplaced) == 400
    assert len(tried) == 400
