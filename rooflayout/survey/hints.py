"""Where a thing that lies off its facet was probably meant to be."""

from __future__ import annotations

from collections.abc import Callable

from rooflayout.job import Facet, Point
from rooflayout.survey.facets import Facets
from rooflayout.survey.words import number_text, show

Turn = Callable[[float, float], Point]


def place_hint(facet: Facet, facets: Facets, fits: Callable[[Facet, Turn], bool]) -> str:
    """Says whether x and y may be swapped, or another facet was meant, or else how far the facet goes.

    `fits` tells whether the thing lies on a facet when each of its points is put through a function.
    """
    other = next((f for f in facets.sound if f is not facet and fits(f, _as_written)), None)
    if fits(facet, _swapped):
        else_where = "" if other is None else f", or is it on facet {show(other.name)}"
        return f"Are x and y swapped{else_where}?"
    if other is not None:
        return f"It would lie on facet {show(other.name)}."
    xs, ys = zip(*facet.outline_mm, strict=True)
    x0, x1, y0, y1 = (number_text(value) for value in (min(xs), max(xs), min(ys), max(ys)))
    return f"The facet runs from x {x0} to {x1}, y {y0} to {y1}; measured from another corner?"


def _as_written(x: float, y: float) -> Point:
    return x, y


def _swapped(x: float, y: float) -> Point:
    return y, x
