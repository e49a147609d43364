"""Reads the lettering off finished sheets with matplotlib's own renderer, for the tests."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from matplotlib.text import Text

from rooflayout.documents.paper import Paper


@dataclass(frozen=True)
class Lettering:
    """A text as the renderer lays it out; millimetres of paper."""

    text: str
    x0: float
    y0: float
    x1: float
    y1: float
    points: float
    bold: bool


def read_lettering(paper: Paper) -> list[Lettering]:
    """Every text on a sheet that is not empty."""
    figure = paper.figure
    renderer = figure.canvas.get_renderer()  # type: ignore[attr-defined]
    mm = 25.4 / figure.dpi
    found = []
    for artist in figure.findobj(Text):
        assert isinstance(artist, Text)
        if not artist.get_text() or not artist.get_visible():
            continue
        e = artist.get_window_extent(renderer)
        bold = artist.get_fontweight() == "bold"
        found.append(
            Lettering(
                artist.get_text(), e.x0 * mm, e.y0 * mm, e.x1 * mm, e.y1 * mm, artist.get_fontsize(), bold
            )
        )
    return found


def overlapping(lettering: list[Lettering], tolerance_mm: float = 0.05) -> list[tuple[str, str]]:
    """Pairs of texts whose boxes share more than the tolerance on both axes."""
    return [
        (a.text, b.text)
        for a, b in combinations(lettering, 2)
        if min(a.x1, b.x1) - max(a.x0, b.x0) > tolerance_mm
        and min(a.y1, b.y1) - max(a.y0, b.y0) > tolerance_mm
    ]
