"""Two sorts of strings in parallel on one tracker, where there are more groups than trackers.

A group is the panels of one model on one facet. Each sort keeps every limit of a tracker by itself, both
together keep its current, what they lose beside each on a tracker of its own stays within what the job
allows, and no string is fed more backwards than it stands while nothing is drawn; at every sun and
temperature that mismatch.conditions looks at.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, product
from typing import TYPE_CHECKING

from rooflayout.job import ControllerModel, Facet, Job, PanelModel
from rooflayout.plan import Temperatures
from rooflayout.wiring import limits
from rooflayout.wiring.mismatch import StringPart, conditions, part_curve

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from rooflayout.wiring.options import StringOption, TrackerClass

SAMPLES = 400  # of voltage, up to the higher open-circuit voltage; too few only overstate a loss
LOSS_DECIMALS = 2  # of a per cent, as a plan states it; losses that differ by less are equal
MOST_PANELS = 40  # of one sort on a tracker that is shared


@dataclass(frozen=True, slots=True)
class UnlikePair:
    """Two sorts of equal strings in parallel on one tracker of a class: exactly so many of each.

    tracker_class is an index into Supply.classes. loss_pct: what they lose beside each sort on a tracker
    of its own, at the worst.
    """

    tracker_class: int
    facets: tuple[str, str]
    models: tuple[PanelModel, PanelModel]
    in_series: tuple[int, int]
    in_parallel: tuple[int, int]
    loss_pct: float

    @property
    def panels(self) -> tuple[int, int]:
        return self.in_series[0] * self.in_parallel[0], self.in_series[1] * self.in_parallel[1]


def unlike_pairs(
    job: Job,
    temperatures: Temperatures,
    classes: Sequence[TrackerClass],
    options: Sequence[StringOption],
    there: frozenset[tuple[str, str]] | None = None,
) -> tuple[UnlikePair, ...]:
    """Every pair of sorts that one tracker may take; none where each group can have a tracker of its own.

    Groups are those that may come to be: every model that can be wired, on every facet, and kept panels.
    Nobody buys two models to mix them on a tracker: such pairs are told only where kept panels are one of
    the two. there: (facet, model) of those that are on the roof, where that is settled; then any two of
    these may share, and no others.
    """
    groups = groups_to_be(job, {o.model.model for o in options})
    if len(groups) <= sum(c.trackers for c in classes):
        return ()
    found: list[UnlikePair] = []
    ways = _ways(options)
    groups = [(f, m) for f, m in groups if there is None or (f, m.model) in there]
    kept = {(k.facet, k.model.model) for k in job.kept}
    for (facet_a, model_a), (facet_b, model_b) in combinations(groups, 2):
        bought = not kept & {(facet_a, model_a.model), (facet_b, model_b.model)}
        if there is None and bought and model_a != model_b:
            continue
        lengths = product(ways.get(model_a.model, {}).items(), ways.get(model_b.model, {}).items())
        for (series_a, most_a), (series_b, most_b) in lengths:
            sorts = ((facet_a, model_a, series_a), (facet_b, model_b, series_b))
            room = _room(job, facet_a, model_a) // series_a, _room(job, facet_b, model_b) // series_b
            counts = {
                number: tuple(
                    _counts(
                        classes[number].controller,
                        sorts,
                        (min(most_a[number], room[0]), min(most_b[number], room[1])),
                    )
                )
                for number in sorted(most_a.keys() & most_b.keys())
            }
            every = tuple(sorted({c for own in counts.values() for c in own}))
            if not every:
                continue
            heading = None if job.site is None else job.site.heading_deg
            facets = (job.facet(facet_a), job.facet(facet_b))
            lost = _losses(sorts, facets, every, temperatures, heading, job.wiring_rules.most_mismatch_pct)
            for number, own in counts.items():
                found += [
                    UnlikePair(
                        number, (facet_a, facet_b), (model_a, model_b), (series_a, series_b), c, lost[c]
                    )
                    for c in own
                    if c in lost
                ]
    return tuple(found)


def groups_to_be(job: Job, wireable: set[str]) -> list[tuple[str, PanelModel]]:
    """(facet, model) of every group that the roof may come to have, facets in the job's order."""
    models = job.panel_models()
    new = {(f.name, m.model) for f in job.facets for m in job.panels.models}
    kept = {(k.facet, k.model.model) for k in job.kept}
    return [
        (f.name, model)
        for f in job.facets
        for name, model in models.items()
        if name in wireable and (f.name, name) in new | kept
    ]


def _ways(options: Sequence[StringOption]) -> dict[str, dict[int, dict[int, int]]]:
    """By model and panels in series: by class of trackers, how many strings it takes."""
    found: dict[str, dict[int, dict[int, int]]] = {}
    for o in options:
        found.setdefault(o.model.model, {}).setdefault(o.in_series, {})[o.tracker_class] = o.most_parallel
    return found


def _room(job: Job, facet: str, model: PanelModel) -> int:
    """So many panels of a model at most are on a facet, by area; kept ones may lie as they like."""
    kept = sum((k.facet, k.model.model) == (facet, model.model) for k in job.kept)
    return int(job.facet(facet).area_mm2() / (model.length_mm * model.width_mm) + 1e-9) + kept


Sort = tuple[str, PanelModel, int]  # facet, model, panels in series


def _counts(
    controller: ControllerModel, sorts: tuple[Sort, Sort], most: tuple[int, int]
) -> Iterator[tuple[int, int]]:
    """How many strings of each sort keep the tracker's current together."""
    (_, model_a, series_a), (_, model_b, series_b) = sorts
    for a in range(1, min(most[0], MOST_PANELS // series_a) + 1):
        for b in range(1, min(most[1], MOST_PANELS // series_b) + 1):
            isc_a = a * (model_a.isc_a or 0.0) + b * (model_b.isc_a or 0.0)
            if limits.design_isc_a(isc_a) <= controller.max_pv_isc_a * (1.0 + limits.TOLERANCE):
                yield a, b


def allowed_loss_pct(
    job: Job, temperatures: Temperatures, sorts: tuple[Sort, Sort], counts: tuple[int, int]
) -> float | None:
    """What so many strings of two sorts lose at the worst, in %; None where they may not share a tracker."""
    heading = None if job.site is None else job.site.heading_deg
    facets = job.facet(sorts[0][0]), job.facet(sorts[1][0])
    most_pct = job.wiring_rules.most_mismatch_pct
    return _losses(sorts, facets, (counts,), temperatures, heading, most_pct).get(counts)


@lru_cache(maxsize=4096)
def _losses(
    sorts: tuple[Sort, Sort],
    facets: tuple[Facet, Facet],
    counts: tuple[tuple[int, int], ...],
    temperatures: Temperatures,
    heading_deg: float | None,
    most_pct: float,
) -> dict[tuple[int, int], float]:
    """Of these counts of strings those within most_pct, with the worst loss in %."""
    import numpy as np

    left = np.array(counts, dtype=np.float64)
    worst = np.zeros(len(left))
    most_a = np.array([_most_reverse_a(model) for _, model, _ in sorts])
    for condition in conditions(facets, temperatures, heading_deg):
        parts = [
            StringPart(model, series, 1, sun, cell_c)
            for (_, model, series), sun, cell_c in zip(
                sorts, condition.irradiance_w_m2, condition.cell_c, strict=True
            )
        ]
        lost, reverse_a = _lost_pct_and_reverse_a(parts, left)
        stays = (lost <= most_pct) & (reverse_a <= most_a).all(axis=1)
        left, worst = left[stays], np.maximum(worst, lost)[stays]
        if not len(left):
            return {}
    return {(int(a), int(b)): float(pct) for (a, b), pct in zip(left, worst, strict=True)}


def _most_reverse_a(model: PanelModel) -> float:
    """What a string may be fed backwards while nothing is drawn (battery full, isolator open), A.

    Its own Isc at most, or the panel's largest series fuse where that is less: such a current flows day
    after day. IEC 61730 tests panels for far more, for two hours (from memory).
    """
    isc_a = model.isc_a or 0.0
    return isc_a if model.max_series_fuse_a is None else min(isc_a, model.max_series_fuse_a)


@dataclass(frozen=True, slots=True)
class _Peak:
    """Of one string: the highest voltage at which it gives, the voltage and the power where it gives most."""

    top_v: float
    best_v: float
    best_w: float


@lru_cache(maxsize=4096)
def _peak(part: StringPart) -> _Peak:
    import numpy as np

    curve = part_curve(part)
    power_w = np.maximum(0.0, curve.voltage_v * curve.current_a)
    top_v = float(curve.voltage_v[curve.current_a > 0.0].max(initial=0.0))
    return _Peak(top_v, float(curve.voltage_v[power_w.argmax()]), float(power_w.max()))


def _lost_pct_and_reverse_a(
    parts: Sequence[StringPart], counts: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """By row of counts, the % that so many strings of each part lose together (0 in the dark), and what one
    string of each part is fed backwards at the open circuit of them all, A."""
    import numpy as np

    peaks = [_peak(part) for part in parts]
    top_v = max(peak.top_v for peak in peaks)
    voltage_v = np.concatenate([np.linspace(0.0, top_v, SAMPLES), [peak.best_v for peak in peaks]])
    curves = [part_curve(part) for part in parts]
    current_a = np.array([np.interp(voltage_v, c.voltage_v, c.current_a) for c in curves])
    together_a = counts @ current_a
    together_w = (voltage_v * together_a).max(axis=1)
    alone_w = counts @ np.array([peak.best_w for peak in peaks])
    lost = 1.0 - np.divide(together_w, alone_w, out=np.ones_like(alone_w), where=alone_w > 0.0)
    at_open = np.where(together_a >= 0.0, voltage_v, 0.0).argmax(axis=1)  # the highest that still gives
    reverse_a = np.maximum(0.0, -current_a[:, at_open].T)
    return np.asarray(np.maximum(0.0, 100.0 * lost)), np.asarray(reverse_a)
