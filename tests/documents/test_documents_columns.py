"""Blocks in columns: the parts of a long one follow one another as they are read."""

from __future__ import annotations

import pytest

from rooflayout.documents.blocks import TextBlock
from rooflayout.documents.box import Box
from rooflayout.documents.columns import fill_sheet

COLUMNS = [Box(130.0 * n, 0.0, 130.0 * n + 120.0, 200.0) for n in range(3)]


def text(title: str, paragraphs: int) -> TextBlock:
    return TextBlock(
        title, tuple((str(n), f"{title} {n} says what is to be said of it.") for n in range(paragraphs))
    )


@pytest.mark.parametrize("before", [0, 1, 8])
@pytest.mark.parametrize("long", range(40, 101, 10))
def test_no_part_stands_left_of_an_earlier_one(before: int, long: int) -> None:
    first = [text("Short", before)] if before else []
    placed, later = fill_sheet([*first, text("Long", long)], COLUMNS)
    parts = [p for p in placed if p.block.title.startswith("Long")]  # type: ignore[attr-defined]
    parts.sort(key=lambda p: int(p.block.paragraphs[0][0]))  # type: ignore[attr-defined]
    assert [p.x for p in parts] == sorted({p.x for p in parts})
    assert [p.block.title for p in parts] == ["Long", *["Long (continued)"] * (len(parts) - 1)]  # type: ignore[attr-defined]
    there = [n for p in parts for n, _ in p.block.paragraphs]  # type: ignore[attr-defined]
    rest = [n for block in later for n, _ in block.paragraphs]  # type: ignore[attr-defined]
    assert [*there, *rest] == [str(n) for n in range(long)]
