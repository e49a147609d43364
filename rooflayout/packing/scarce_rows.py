"""Layouts in rows where panels are scarce: what stock, mass and money leave is counted down row by row.

Rows as those of bands.py, from one edge to the other: each time the row that carries most for its depth, of
what is left; or of one model until it is used up, then of the next.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rooflayout.packing.bands import Rows, row_at, rows_of, span_mm, turned, turned_kind
from rooflayout.packing.clearance import Field
from rooflayout.packing.incumbent import Place
from rooflayout.packing.kinds import Kind, densest_models
from rooflayout.packing.rules import Cap, Rules

UNBOUND = 1 << 30


def scarce_row_layouts(fields: Sequence[Field], rules: Rules) -> list[list[Place]]:
    """Within all caps, over all facets: rows along x and along y, models mixed or one after another."""
    return [_layout(fields, rules, along_y, mixed) for along_y in (False, True) for mixed in (True, False)]


def _layout(fields: Sequence[Field], rules: Rules, along_y: bool, mixed: bool) -> list[Place]:
    left = _Left(rules.caps)
    found: list[Place] = []
    for number, field in enumerate(fields):
        own = [n for n, kind in enumerate(rules.kinds) if kind.facet == number]
        if not own or field.x_max <= field.x_min or field.y_max <= field.y_min:
            continue
        kinds = {n: turned_kind(rules.kinds[n]) if along_y else rules.kinds[n] for n in own}
        stages = [own] if mixed else _by_model(kinds)
        for n, x, y in _filled(turned(field) if along_y else field, kinds, stages, left):
            found.append((n, y, x) if along_y else (n, x, y))
    return found


def _by_model(kinds: Mapping[int, Kind]) -> list[list[int]]:
    """The kinds of each model, the densest model first."""
    models = densest_models(list(kinds.values()))
    return [[n for n, kind in kinds.items() if kind.model == model] for model in models]


def _filled(
    field: Field, kinds: Mapping[int, Kind], stages: Sequence[Sequence[int]], left: _Left
) -> list[Place]:
    """Rows along x from one edge to the other; of a stage's kinds until no row of them is left."""
    at, high = span_mm(field)
    rows = {n: rows_of(field, kind, at, high) for n, kind in kinds.items()}
    found: list[Place] = []
    waiting = list(stages)
    while at <= high and waiting:
        here = {n: row_at(rows[n], at)[: left.most(n)] for n in waiting[0]}
        worth = {n: len(xs) * kinds[n].watts / kinds[n].pitch_y_mm for n, xs in here.items()}
        best = max(worth, key=lambda n: (worth[n], -n))
        if worth[best] > 0.0:
            found += [(best, x, at) for x in here[best]]
            left.take(best, len(here[best]))
            at += kinds[best].pitch_y_mm
        elif len(waiting) > 1 and not any(left.most(n) for n in waiting[0]):
            waiting.pop(0)
        else:
            at = min((_next_start(rows[n], at) for n in waiting[0]), default=high + 1)
    return found


def _next_start(rows: Rows, y: int) -> int:
    """Where other rows than at y may start; far up where there are no more."""
    later = rows[0][rows[0] > y]
    return int(later.min()) if len(later) else UNBOUND


class _Left:
    """What is left of each cap."""

    def __init__(self, caps: Sequence[Cap]) -> None:
        self._left = [(cap.limit, cap.per_kind) for cap in caps]

    def most(self, kind: int) -> int:
        """How many more panels of a kind there may be; a large number where nothing binds them."""
        of = [left // per_kind[kind] for left, per_kind in self._left if per_kind[kind]]
        return max(0, min(of, default=UNBOUND))

    def take(self, kind: int, count: int) -> None:
        self._left = [(left - count * per_kind[kind], per_kind) for left, per_kind in self._left]
