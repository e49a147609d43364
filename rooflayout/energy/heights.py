"""How high things stand on the roof, where the job does not say: usual heights, to be called assumed."""

from __future__ import annotations

from rooflayout.job import Job, Obstacle

USUAL_HEIGHT_MM = {  # common practice, no source
    "hatch": 90.0,
    "vent": 60.0,
    "skylight": 100.0,
    "air-conditioner": 220.0,
    "aerial": 60.0,
    "rail": 30.0,
    "walkway": 20.0,
    "chimney": 400.0,
    "other": 0.0,  # not known what it is: no shadow is better than an invented one
}
STICK_MM = 100.0  # an aerial no wider than this either way is a stick
STICK_HEIGHT_MM = 400.0  # common practice, no source


def height_mm(obstacle: Obstacle) -> float:
    """Height above its facet: the job's figure, or what is usual for its kind. A lid counts as closed."""
    if obstacle.height_mm is not None:
        return obstacle.height_mm
    if obstacle.kind == "aerial":
        x0, y0, x1, y1 = obstacle.bounds_mm()
        if max(x1 - x0, y1 - y0) <= STICK_MM:
            return STICK_HEIGHT_MM
    return USUAL_HEIGHT_MM.get(obstacle.kind, 0.0)


def assumed_heights(job: Job) -> tuple[tuple[Obstacle, float], ...]:
    """The obstacles whose height the job does not give, each with the height assumed in mm."""
    return tuple((o, height_mm(o)) for o in job.obstacles if o.height_mm is None)


def least_thickness_mm(job: Job) -> float:
    """Of the panels that may lie on the roof: their faces are at least that far above it. 0 if unknown."""
    return min((m.thickness_mm or 0.0 for m in job.panel_models().values()), default=0.0)
