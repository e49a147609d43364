"""What the packing is to wish for beside watts, from the sun on the roof and the vehicle's balance."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from rooflayout.job import Job, KeptPanel, PanelModel
from rooflayout.packing.kinds import Kind
from rooflayout.packing.rules import mass_g, models_of
from rooflayout.packing.wishes import NO_WISHES, OfPlaces, Wishes
from rooflayout.plan import PlacedPanel

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from rooflayout.energy.roof_sun import RoofSun
    from rooflayout.packing.closure import Candidates

    Values = NDArray[np.float64]
    OfRects = Callable[[Kind, PanelModel, Values], Values]  # of one kind, (x0, y0, x1, y1) in mm a row
    Sun = Callable[[], RoofSun]


def wishes_of(job: Job, sun: Sun | None, left_mm: Callable[[str, Values, Values], Values] | None) -> Wishes:
    """Less shade where the sun is known; Wh where the job aims at them; balance where it asks for it.

    sun: gives the sun on the roof when it is first needed; None: not known. left_mm: of points of a facet (x
    and y in its plane, mm), how far they lie to the left of the vehicle's middle; None: not known.
    """
    wishes = NO_WISHES
    if sun is not None and job.panels.aim == "harvest":
        wishes = Wishes(harvest_wh=_harvest_wh(job, sun), kept_wh=_kept_wh(job, sun()))
    elif sun is not None and job.obstacles:
        wishes = Wishes(lost_wh=_lost_wh(job, sun))
    if job.panels.balance and left_mm is not None:
        moment, kept = _moment_g_m(job, left_mm), sum(_kept_moment_g_m(k, left_mm) for k in job.kept)
        wishes = Wishes(wishes.lost_wh, moment, round(kept), wishes.harvest_wh, wishes.kept_wh)
    return wishes


def shade_of(job: Job, sun: Sun) -> Callable[[PlacedPanel], float]:
    """What shade takes of a panel's year by itself, 0 to 1."""
    models = job.panel_models()
    facets = {f.name: number for number, f in enumerate(job.facets)}

    def share(panel: PlacedPanel) -> float:
        import numpy as np

        x, y = panel.x_mm, panel.y_mm
        rect = np.array([[x, y, x + panel.along_x_mm, y + panel.along_y_mm]])
        given, taken = sun().panel_wh(facets[panel.facet], models[panel.model], rect, panel.turned)
        total = float(given[0] + taken[0])
        return float(taken[0]) / total if total > 0.0 else 0.0

    return share


def _lost_wh(job: Job, sun: Sun) -> OfPlaces:
    return _of_each_kind(
        job, _remembered(lambda kind, model, rects: _worth(kind, model, sun(), rects, lost=True))
    )


def _remembered(value: OfRects) -> OfRects:
    """The same, each place worked out once: the choice among equal watts asks again and again."""
    known: dict[tuple[int, int, bool], dict[tuple[float, float], float]] = {}

    def of_rects(kind: Kind, model: PanelModel, rects_mm: Values) -> Values:
        import numpy as np

        mine = known.setdefault((kind.facet, kind.model, kind.turned), {})
        corners = [(x, y) for x, y in rects_mm[:, :2].tolist()]
        new = [n for n, corner in enumerate(corners) if corner not in mine]
        if new:
            found = value(kind, model, rects_mm[new])
            mine.update(zip((corners[n] for n in new), found.tolist(), strict=True))
        return np.array([mine[corner] for corner in corners])

    return of_rects


def _harvest_wh(job: Job, sun: Sun) -> OfPlaces:
    return _of_each_kind(job, lambda kind, model, rects: _worth(kind, model, sun(), rects, lost=False))


def _worth(kind: Kind, model: PanelModel, sun: RoofSun, rects_mm: Values, lost: bool) -> Values:
    """Wh a year that panels of a kind at these places give, or lose to shade."""
    given, taken = sun.panel_wh(kind.facet, model, rects_mm, kind.turned)
    return taken if lost else given


def _kept_wh(job: Job, sun: RoofSun) -> dict[tuple[int, int], int]:
    """Wh a year of the kept panels of each facet and model: of the worst of them each."""
    import numpy as np

    numbers = {m.model: i for i, m in enumerate(models_of(job))}
    facets = {f.name: i for i, f in enumerate(job.facets)}
    found: dict[tuple[int, int], int] = {}
    for k in job.kept:
        w, h = k.model.sides_mm(k.turned)
        rect = np.array([[k.x_mm, k.y_mm, k.x_mm + w, k.y_mm + h]])
        facet = facets[k.facet]
        wh = int(sun.panel_wh(facet, k.model, rect, k.turned)[0][0])
        key = (facet, numbers[k.model.model])
        found[key] = min(wh, found.get(key, wh))
    return found


def _moment_g_m(job: Job, left_mm: Callable[[str, Values, Values], Values]) -> OfPlaces:
    def moment(kind: Kind, model: PanelModel, rects_mm: Values) -> Values:
        x, y = (rects_mm[:, 0] + rects_mm[:, 2]) / 2.0, (rects_mm[:, 1] + rects_mm[:, 3]) / 2.0
        return left_mm(job.facets[kind.facet].name, x, y) * mass_g(model) / 1000.0

    return _of_each_kind(job, moment)


def _kept_moment_g_m(kept: KeptPanel, left_mm: Callable[[str, Values, Values], Values]) -> float:
    import numpy as np

    w, h = kept.model.sides_mm(kept.turned)
    x, y = np.array([kept.x_mm + w / 2.0]), np.array([kept.y_mm + h / 2.0])
    return float(left_mm(kept.facet, x, y)[0]) * mass_g(kept.model) / 1000.0


def _of_each_kind(job: Job, value: OfRects) -> OfPlaces:
    """A function over candidates from one over the rectangles of one kind."""
    models = models_of(job)

    def of_places(kinds: Sequence[Kind], candidates: Candidates) -> NDArray[np.int64]:
        import numpy as np

        found = np.zeros(len(candidates), dtype=np.int64)
        for number in np.unique(candidates.kind).tolist():
            mine = np.nonzero(candidates.kind == number)[0]
            kind = kinds[number]
            x, y = candidates.x_mm[mine].astype(float), candidates.y_mm[mine].astype(float)
            rects = np.stack([x, y, x + kind.w_mm, y + kind.h_mm], axis=1)
            found[mine] = np.round(value(kind, models[kind.model], rects)).astype(np.int64)
        return found

    return of_places
