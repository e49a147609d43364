"""Roofs of every sort: what comes out passes the inspection and is never worse than rows by hand."""

from __future__ import annotations

from collections.abc import Callable

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plans_of_packed import breaches_of
from rows_by_hand import Paper, watts_in_rows
from small_random_jobs import packed

from rooflayout.job import Facet, Job, KeptPanel, Obstacle, PanelModel, PanelRules, Point, Spacing

Draw = Callable[[st.SearchStrategy[int]], int]
LIMIT_S = 4.0
SPARE_MM = 10.0  # on slanted and round lines places are tried every 10 mm only


def mm(draw: Draw, low: int, high: int) -> int:
    return draw(st.integers(low, high))


@st.composite
def outlines(draw: Draw, slanted: bool) -> tuple[Point, ...]:
    w, h = mm(draw, 900, 2600), mm(draw, 700, 1600)
    x, y = draw(st.sampled_from([(0, 0), (0, 0), (-130, 55)]))
    a, b = mm(draw, 50, w // 2), mm(draw, 50, h // 2)
    if slanted:
        shape = draw(
            st.sampled_from(
                [
                    [(0, 0), (w, 0), (w, h - b), (w - a, h), (0, h)],
                    [(a, 0), (w, 0), (w, h), (0, h)],
                    [(0, 0), (w, b), (w, h), (a, h)],
                    [(0, 0), (w, 0), (w, h), (w - a, h - b), (0, h)],
                ]
            )
        )
    else:
        shape = draw(
            st.sampled_from(
                [
                    [(0, 0), (w, 0), (w, h), (0, h)],
                    [(0, 0), (w, 0), (w, h - b), (w - a, h - b), (w - a, h), (0, h)],
                    [(0, 0), (a, 0), (a, b), (w - 20, b), (w - 20, 0), (w, 0), (w, h), (0, h)],
                ]
            )
        )
    return tuple((float(x + p), float(y + q)) for p, q in shape)


@st.composite
def obstacles(draw: Draw, name: str, facet: str, slanted: bool) -> Obstacle:
    x, y = mm(draw, 0, 2000), mm(draw, 0, 1200)
    clearance = float(draw(st.sampled_from([0, 0, 25, 60])))
    shape = draw(st.sampled_from(["box", "hatch", "box", "round", "slant"] if slanted else ["box", "hatch"]))
    if shape == "round":
        diameter = float(mm(draw, 50, 400))
        return Obstacle(name, facet, centre_mm=(x, y), diameter_mm=diameter, clearance_mm=clearance)
    w, h = mm(draw, 30, 500), mm(draw, 30, 500)
    outline: tuple[Point, ...] = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
    if shape == "slant":
        outline = ((x, y), (x + w, y + h / 3), (x + w / 3, y + h))
    if shape != "hatch":
        return Obstacle(name, facet, outline_mm=outline, clearance_mm=clearance)
    opens = draw(st.sampled_from(["+x", "-x", "+y", "-y"]))
    reach = float(mm(draw, 0, 400))
    return Obstacle(name, facet, "hatch", outline, clearance_mm=clearance, opens=opens, reach_mm=reach)


@st.composite
def roofs(draw: Draw, slanted: bool) -> Job:
    facets = tuple(
        Facet(f"F{i}", draw(outlines(slanted and i == 0)))  # type: ignore[arg-type]
        for i in range(draw(st.sampled_from([1, 1, 2])))
    )
    stand = tuple(
        draw(obstacles(f"O{i}", draw(st.sampled_from([f.name for f in facets])), slanted))  # type: ignore[arg-type]
        for i in range(draw(st.integers(0, 3)))
    )
    models = tuple(
        PanelModel(
            f"M{i}",
            mm(draw, 450, 1300),
            mm(draw, 300, 700),
            float(mm(draw, 40, 250)),
            stock=draw(st.sampled_from([None, None, 3])),
            turnable=draw(st.booleans()),
        )
        for i in range(draw(st.integers(1, 3)))
    )
    gap = draw(st.sampled_from([0, 10, 20]))
    edge = draw(st.sampled_from([0, 15, 40]))
    job = Job("any", facets, PanelRules(models), stand, Spacing(gap, edge))
    old = PanelModel("old", 400, 300, 66.0)
    x, y = mm(draw, -100, 1500), mm(draw, 0, 900)
    if draw(st.booleans()) and Paper(job, facets[0]).may_lie((x, y, x + 400, y + 300)):
        job = Job("any", facets, PanelRules(models), stand, job.spacing, (KeptPanel(old, "F0", x, y),))
    return job


def check(job: Job, spare_mm: float) -> None:
    found = packed(job, seconds=LIMIT_S)
    assert breaches_of(job, found) == []
    assert found.watts >= watts_in_rows(job, spare_mm)
    assert found.bound_watts >= found.watts
    assert found.proven == (found.bound_watts == found.watts)


often = settings(
    max_examples=25, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck)
)


@often
@given(roofs(slanted=False))
def test_axis_parallel_roofs(job: Job) -> None:
    check(job, 0.0)


@often
@given(roofs(slanted=True))
def test_slanted_and_round_roofs(job: Job) -> None:
    check(job, SPARE_MM)
