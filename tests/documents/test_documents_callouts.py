"""Names on leaders: the nearest free place, however many leaders are looked at together."""

from __future__ import annotations

import random

import pytest

from rooflayout.documents import callouts
from rooflayout.documents.box import Box
from rooflayout.documents.callouts import Surroundings, place_callout


def crowded(seed: int) -> Surroundings:
    """A roof of 160 x 70 mm of paper with boxes on it, rows above it and room beside it."""
    chance = random.Random(seed)
    corners = [(0.0, 0.0), (160.0, 0.0), (160.0, 70.0), (0.0, 70.0)]
    boxes = []
    for _ in range(14):
        x, y = chance.uniform(0, 150), chance.uniform(0, 62)
        boxes.append(Box(x, y, x + chance.uniform(4, 22), y + chance.uniform(3, 14)))
    return Surroundings(
        roof=Box(0.0, 0.0, 160.0, 70.0),
        solids=tuple(boxes[:10]),
        rows=(74.0, 80.0),
        row_start=0.0,
        row_end=160.0,
        outline=tuple(zip(corners, corners[1:] + corners[:1], strict=True)),
        beside=164.0,
        taken=boxes[10:],
    )


def placed(seed: int) -> list[object]:
    """Thirty names one after the other, each with up to four anchors."""
    around, chance = crowded(seed), random.Random(seed + 1000)
    found: list[object] = []
    for number in range(30):
        anchors = [(chance.uniform(2, 158), chance.uniform(2, 68)) for _ in range(chance.randint(1, 4))]
        callout = place_callout(f"vent number {number}", anchors, around)
        found.append(callout)
        if callout is not None:
            around.add(callout)
    return found


@pytest.mark.parametrize("seed", range(4))
def test_places_do_not_depend_on_how_many_are_looked_at_together(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    usual = placed(seed)
    assert any(c is not None for c in usual)
    for at_once in (1, 7, 1_000_000):  # the last: all of them, as by exhaustive search
        monkeypatch.setattr(callouts, "_AT_ONCE", at_once)
        assert placed(seed) == usual


def test_a_name_is_as_near_as_the_nearest_of_its_anchors_lets_it() -> None:
    """With several anchors none of them alone has a shorter way to its name."""
    anchors = [(20.0, 30.0), (80.0, 35.0), (140.0, 40.0)]
    together = place_callout("skylight", anchors, crowded(2))
    alone = [place_callout("skylight", [anchor], crowded(2)) for anchor in anchors]
    assert together in alone
