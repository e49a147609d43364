"""Leader lines: where the name of something small finds room near it without covering anything."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from .box import Box, PaperPoint, Segment
from .lettering import ASCENT, DESCENT, NORMAL, SMALL, em_mm, text_box, width_mm

_CLEAR = 0.5  # between a name and its neighbours
_APART_X, _APART_Y = 5.0, 1.5  # between two names, lest they read as one
_LEADER_CLEAR = 0.3  # between a leader and other names
_STEP = 2.0  # between the places tried
_REACH = 40.0  # how far on the roof a name may stand from its thing
_CROSSING = 6.0  # a leader across a panel counts as so much longer
_ALONG = 5.0  # and so does an upright or level one
_AT_ONCE = 48  # leaders looked at together

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Callout:
    """A name beside its thing, a dot on the thing and a leader between them."""

    text: str
    height_mm: float
    x: float  # start of the baseline
    y: float
    anchor: PaperPoint
    end: PaperPoint

    @property
    def box(self) -> Box:
        return text_box(self.x, self.y, self.text, self.height_mm)


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What a callout must mind: solid shapes to stay off, the rows above the roof, what stands already."""

    roof: Box
    solids: tuple[Box, ...]  # names may not stand on these; leaders would rather not cross them
    rows: tuple[float, ...]  # baselines above the roof
    row_start: float
    row_end: float
    outline: tuple[Segment, ...] = ()  # the roof's edges, which names may not cover
    beside: float | None = None  # where names right of the roof may start; None: nowhere
    taken: list[Box] = field(default_factory=list)  # lettering
    names: list[Box] = field(default_factory=list)  # of callouts, each with the clear space around it
    leaders: list[Segment] = field(default_factory=list)

    def add(self, callout: Callout) -> None:
        """A callout that stands from now on."""
        b = callout.box
        self.taken.append(b)
        self.names.append(Box(b.x0 - _APART_X, b.y0 - _APART_Y, b.x1 + _APART_X, b.y1 + _APART_Y))
        self.leaders.append((callout.anchor, callout.end))


@dataclass(frozen=True, slots=True)
class _Crowd:
    """Surroundings as arrays: boxes as rows of x0, y0, x1, y1, lines as pairs of points."""

    solids: Array
    solid_or_taken: Array
    taken_and_rim: Array
    names: Array
    lines: Array  # leaders, and the roof's edges
    leaders: Array


def _crowd(around: Surroundings) -> _Crowd:
    return _Crowd(
        solids=_as_array(around.solids, 0.0),
        solid_or_taken=_as_array([*around.solids, *around.taken], 0.0),
        taken_and_rim=_as_array(around.taken, _LEADER_CLEAR),
        names=_as_array(around.names, 0.0),
        lines=np.array([*around.leaders, *around.outline]).reshape(-1, 2, 2),
        leaders=np.array(around.leaders).reshape(-1, 2, 2),
    )


def place_callout(text: str, anchors: Sequence[PaperPoint], around: Surroundings) -> Callout | None:
    """The nearest free place for a name, from any of its anchors; None when there is none."""
    crowd = _crowd(around)
    for height in (NORMAL, SMALL):
        width, em = width_mm(text, height), em_mm(height)
        rows = _free_starts(_row_starts(width, around), width, em, crowd)
        beside = _free_starts(_beside_starts(around), width, em, crowd)
        best: tuple[float, Callout] | None = None
        for anchor in anchors:
            bare = _roof_starts(anchor, width)
            bare = bare[_on_roof(_boxes_at(bare, width, em), around.roof)]
            starts = np.concatenate([rows, _free_starts(bare, width, em, crowd), beside])
            below = math.inf if best is None else best[0]
            found = _nearest(starts, _boxes_at(starts, width, em), anchor, crowd, below)
            if found is not None:
                cost, start, end = found
                best = cost, Callout(text, height, *start, anchor, end)
        if best is not None:
            return best[1]
    return None


def _nearest(
    starts: Array, boxes: Array, anchor: PaperPoint, crowd: _Crowd, below: float
) -> tuple[float, PaperPoint, PaperPoint] | None:
    """Of free places the one that costs least: its cost, its start and its leader's end; None where none
    costs less than below.

    A place costs at least the length of its leader, so the near ones are tried first, some at a time, until
    the next ones are farther than the best one costs. Of equal places the first one of the list counts.
    """
    ends = _leader_ends(boxes, anchor)
    length = np.hypot(ends[:, 0] - anchor[0], ends[:, 1] - anchor[1])
    least = np.round(length, 6)
    near = np.argsort(least, kind="stable")
    best, cost, at = -1, below, 0
    while at < len(near) and least[near[at]] <= cost:
        some = near[at : at + _AT_ONCE]
        at += _AT_ONCE
        some = some[_leaders_free(anchor, ends[some], crowd)]
        costs = _costs(anchor, ends[some], length[some], crowd)
        for place, its_cost in zip(some.tolist(), costs.tolist(), strict=True):
            if (its_cost, place) < (cost, best):
                best, cost = place, its_cost
    if best < 0:
        return None
    (x, y), (end_x, end_y) = starts[best].tolist(), ends[best].tolist()
    return cost, (x, y), (end_x, end_y)


def _leaders_free(anchor: PaperPoint, ends: Array, crowd: _Crowd) -> Mask:
    """Which leaders cross no lettering and no other leader."""
    free = ~_cross_segments(anchor, ends, crowd.leaders)
    open_ones = np.flatnonzero(free)
    tips = ends[open_ones]
    free[open_ones] = ~_cross_boxes(_tails(anchor, tips), tips, crowd.taken_and_rim).any(axis=1)
    return free


def _costs(anchor: PaperPoint, ends: Array, length: Array, crowd: _Crowd) -> Array:
    """The leaders' lengths, more where they cross panels or could be taken for an edge."""
    crossed = _cross_boxes(_tails(anchor, ends), ends, crowd.solids).sum(axis=1)
    cost = np.round(length + _CROSSING * crossed + _ALONG * _runs_along(anchor, ends, length), 6)
    return np.asarray(cost, dtype=np.float64)


def _tails(anchor: PaperPoint, ends: Array) -> Array:
    return np.tile(np.array(anchor), (len(ends), 1))


def _row_starts(width: float, around: Surroundings) -> Array:
    """Places for the start of a baseline in the rows above the roof."""
    along = np.arange(around.row_start, around.row_end - width, _STEP)
    rows = [np.column_stack([along, np.full(len(along), y)]) for y in around.rows]
    return np.concatenate(rows) if rows else np.empty((0, 2))


def _beside_starts(around: Surroundings) -> Array:
    """Places for the start of a baseline right of the roof."""
    if around.beside is None:
        return np.empty((0, 2))
    up = np.arange(around.roof.y0, around.roof.y1, _STEP)
    return np.column_stack([np.full(len(up), around.beside), up])


def _roof_starts(anchor: PaperPoint, width: float) -> Array:
    """Places for the start of a baseline around the thing."""
    steps = np.arange(-_REACH, _REACH + _STEP, _STEP)
    xs, ys = np.meshgrid(anchor[0] + steps - width / 2, anchor[1] + steps)
    return np.column_stack([xs.ravel(), ys.ravel()])


def _on_roof(boxes: Array, roof: Box) -> Mask:
    """Which boxes, with the clear space around them, lie within the roof's bounding box."""
    inside = (boxes[:, 0] - _CLEAR >= roof.x0) & (boxes[:, 2] + _CLEAR <= roof.x1)
    inside &= (boxes[:, 1] - _CLEAR >= roof.y0) & (boxes[:, 3] + _CLEAR <= roof.y1)
    return np.asarray(inside, dtype=np.bool_)


def _runs_along(anchor: PaperPoint, ends: Array, length: Array) -> Array:
    """1 for leaders that could be taken for an edge or a dimension: upright or level, and not short."""
    least = np.minimum(np.abs(ends[:, 0] - anchor[0]), np.abs(ends[:, 1] - anchor[1]))
    return np.where((length > 4.0) & (least < 0.17 * length), 1.0, 0.0)


def _boxes_at(starts: Array, width: float, em: float) -> Array:
    """The boxes of a text, one for each start of its baseline."""
    low, high = starts[:, 1] - DESCENT * em, starts[:, 1] + ASCENT * em
    return np.column_stack([starts[:, 0], low, starts[:, 0] + width, high])


def _as_array(boxes: Sequence[Box], margin: float) -> Array:
    rows = [(b.x0 - margin, b.y0 - margin, b.x1 + margin, b.y1 + margin) for b in boxes]
    return np.array(rows, dtype=float).reshape(-1, 4)


def _free_starts(starts: Array, width: float, em: float, crowd: _Crowd) -> Array:
    """Of the starts of a baseline those whose text stands clear of everything."""
    if len(starts) == 0:
        return starts
    boxes = _boxes_at(starts, width, em)
    grown = boxes + np.array([-_CLEAR, -_CLEAR, _CLEAR, _CLEAR])
    left = np.flatnonzero(~_overlaps(grown, _within(grown, crowd.solid_or_taken)).any(axis=1))
    left = left[~_overlaps(boxes[left], _within(boxes, crowd.names)).any(axis=1)]
    lines = crowd.lines
    left = left[~_cross_boxes(lines[:, 0], lines[:, 1], grown[left]).any(axis=0)]
    return starts[left]


def _within(boxes: Array, others: Array) -> Array:
    """The others that reach into the bounding box of all boxes: no box can meet any of the rest."""
    low, high = boxes.min(axis=0), boxes.max(axis=0)
    near = (others[:, 0] < high[2]) & (others[:, 2] > low[0])
    near &= (others[:, 1] < high[3]) & (others[:, 3] > low[1])
    return np.asarray(others[near], dtype=np.float64)


def _overlaps(boxes: Array, others: Array) -> Mask:
    """Which boxes share space with which others, without those that are far from all boxes."""
    if len(boxes) == 0:
        return np.zeros((0, 0), dtype=np.bool_)
    near = (others[:, 0] < boxes[:, 2].max()) & (boxes[:, 0].min() < others[:, 2])
    near &= (others[:, 1] < boxes[:, 3].max()) & (boxes[:, 1].min() < others[:, 3])
    others = others[near]
    return np.asarray(
        (boxes[:, None, 0] < others[None, :, 2])
        & (others[None, :, 0] < boxes[:, None, 2])
        & (boxes[:, None, 1] < others[None, :, 3])
        & (others[None, :, 1] < boxes[:, None, 3]),
        dtype=np.bool_,
    )


def _leader_ends(boxes: Array, anchor: PaperPoint) -> Array:
    """For each box the middle of the side nearest to the anchor."""
    middle_x, middle_y = (boxes[:, 0] + boxes[:, 2]) / 2, (boxes[:, 1] + boxes[:, 3]) / 2
    xs = np.column_stack([middle_x, boxes[:, 0], boxes[:, 2], middle_x])
    ys = np.column_stack([boxes[:, 1], middle_y, middle_y, boxes[:, 3]])
    nearest = np.hypot(xs - anchor[0], ys - anchor[1]).round(6).argmin(axis=1)
    each = np.arange(len(boxes))
    return np.column_stack([xs[each, nearest], ys[each, nearest]])


def _cross_boxes(tails: Array, tips: Array, boxes: Array) -> Mask:
    """Which segments from each tail to its tip enter which boxes (Liang and Barsky's clipping)."""
    enter = np.zeros((len(tips), len(boxes)))
    leave = np.ones((len(tips), len(boxes)))
    outside = np.zeros((len(tips), len(boxes)), dtype=bool)
    for axis in (0, 1):
        tail = tails[:, axis][:, None]
        step = tips[:, axis][:, None] - tail
        still = np.abs(step) < 1e-9
        safe = np.where(still, 1.0, step)
        first = (boxes[None, :, axis] - tail) / safe
        last = (boxes[None, :, axis + 2] - tail) / safe
        enter = np.where(still, enter, np.maximum(enter, np.minimum(first, last)))
        leave = np.where(still, leave, np.minimum(leave, np.maximum(first, last)))
        beside = (tail <= boxes[None, :, axis]) | (tail >= boxes[None, :, axis + 2])
        outside |= still & beside
    return np.asarray((enter < leave) & ~outside, dtype=np.bool_)


def _cross_segments(tail: PaperPoint, tips: Array, others: Array) -> Mask:
    """Which segments from the tail to each tip meet any of the others."""
    px, py = (tips[:, axis, None] - tail[axis] for axis in (0, 1))
    (ax, ay), (bx, by) = others[:, 0].T, others[:, 1].T
    a_side = px * (ay - tail[1]) - py * (ax - tail[0])
    b_side = px * (by - tail[1]) - py * (bx - tail[0])
    tail_side = (bx - ax) * (tail[1] - ay) - (by - ay) * (tail[0] - ax)
    tip_side = (bx - ax) * (tips[:, 1, None] - ay) - (by - ay) * (tips[:, 0, None] - ax)
    meets = (a_side * b_side <= 0) & (tail_side * tip_side <= 0)
    return np.asarray(meets.any(axis=1), dtype=np.bool_)
