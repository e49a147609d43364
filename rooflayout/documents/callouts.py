"""Leader lines: where the name of something small finds room near it without covering anything."""

from __future__ import annotations

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


def place_callout(text: str, anchors: Sequence[PaperPoint], around: Surroundings) -> Callout | None:
    """The nearest free place for a name, from any of its anchors; None when there is none."""
    for height in (NORMAL, SMALL):
        found = [c for anchor in anchors if (c := _nearest(text, height, anchor, around)) is not None]
        if found:
            return min(found, key=lambda c: c[0])[1]
    return None


def _nearest(
    text: str, height: float, anchor: PaperPoint, around: Surroundings
) -> tuple[float, Callout] | None:
    """The place with the shortest leader, and what it costs."""
    width, em = width_mm(text, height), em_mm(height)
    rows, bare = _row_starts(width, around), _roof_starts(anchor, width)
    bare = bare[_on_roof(_boxes_at(bare, width, em), around.roof)]
    parts = [rows, bare, _beside_starts(around)]  # each by itself is near few other things
    starts = np.concatenate([p[_boxes_free(_boxes_at(p, width, em), around)] for p in parts])
    boxes = _boxes_at(starts, width, em)
    if len(boxes) == 0:
        return None
    ends = _leader_ends(boxes, anchor)
    tails = np.tile(np.array(anchor), (len(ends), 1))
    free = ~_cross_boxes(tails, ends, _as_array(around.taken, _LEADER_CLEAR)).any(axis=1)
    free &= ~_cross_segments(anchor, ends, around.leaders)
    boxes, starts, ends = _keep(free, boxes, starts, ends)
    if len(boxes) == 0:
        return None
    length = np.hypot(ends[:, 0] - anchor[0], ends[:, 1] - anchor[1])
    tails = np.tile(np.array(anchor), (len(ends), 1))
    crossed = _cross_boxes(tails, ends, _as_array(around.solids, 0.0)).sum(axis=1)
    cost = np.round(length + _CROSSING * crossed + _ALONG * _runs_along(anchor, ends, length), 6)
    best = int(np.argmin(cost))
    x, y = (float(v) for v in starts[best])
    end = float(ends[best, 0]), float(ends[best, 1])
    return float(cost[best]), Callout(text, height, x, y, anchor, end)


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


def _keep(mask: Mask, *arrays: Array) -> tuple[Array, ...]:
    return tuple(array[mask] for array in arrays)


def _as_array(boxes: Sequence[Box], margin: float) -> Array:
    rows = [(b.x0 - margin, b.y0 - margin, b.x1 + margin, b.y1 + margin) for b in boxes]
    return np.array(rows, dtype=float).reshape(-1, 4)


def _boxes_free(boxes: Array, around: Surroundings) -> Mask:
    """Which boxes stand clear of everything."""
    grown = boxes + np.array([-_CLEAR, -_CLEAR, _CLEAR, _CLEAR])
    meets = _overlaps(grown, _as_array([*around.solids, *around.taken], 0.0)).any(axis=1)
    meets |= _overlaps(boxes, _as_array(around.names, 0.0)).any(axis=1)
    open_ones = np.flatnonzero(~meets)
    boxes = grown[open_ones]
    segments = np.array([*around.leaders, *around.outline]).reshape(-1, 2, 2)
    crossed = _cross_boxes(segments[:, 0], segments[:, 1], boxes).any(axis=0)
    mask = np.zeros(len(grown), dtype=np.bool_)
    mask[open_ones[~crossed]] = True
    return mask


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


def _cross_segments(tail: PaperPoint, tips: Array, others: Sequence[Segment]) -> Mask:
    """Which segments from the tail to each tip meet any of the others."""
    meets = np.zeros(len(tips), dtype=bool)
    px, py = tips[:, 0] - tail[0], tips[:, 1] - tail[1]
    for (ax, ay), (bx, by) in others:
        a_side = px * (ay - tail[1]) - py * (ax - tail[0])
        b_side = px * (by - tail[1]) - py * (bx - tail[0])
        tail_side = (bx - ax) * (tail[1] - ay) - (by - ay) * (tail[0] - ax)
        tip_side = (bx - ax) * (tips[:, 1] - ay) - (by - ay) * (tips[:, 0] - ax)
        meets |= (a_side * b_side <= 0) & (tail_side * tip_side <= 0)
    return np.asarray(meets, dtype=np.bool_)
