"""What a layout lacks along one axis: how panels are pushed apart, beside round vents, and promises.

Lengths worked out by hand; beside a round vent by Pythagoras.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from random import Random

import pytest
from small_random_jobs import packed, rectangle, square_on

from rooflayout.job import Facet, Job, Obstacle, PanelModel, PanelRules, Spacing
from rooflayout.packing.around import things_on
from rooflayout.packing.clearance import field_of
from rooflayout.packing.ground import Ground
from rooflayout.packing.incumbent import Place
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.lacking import lacks
from rooflayout.packing.rules import models_of
from rooflayout.plan import NearMiss

EDGES = ("the edge", "the edge")


def panel(name: str, along_x_mm: float, along_y_mm: float) -> PanelModel:
    return PanelModel(name, along_x_mm, along_y_mm, 100.0, turnable=False)


Told = tuple[str, int, tuple[str, str]]


def lacks_of(job: Job, *places: Place) -> list[Told]:
    """What the first facet lacks for panels at these places (number of the model, x, y)."""
    facet = job.facets[0]
    ground = Ground(field_of(job, facet), things_on(job, facet))
    found = lacks(ground, kinds_of(job, models_of(job)), places)
    return [(lack.axis, lack.short_mm, lack.between) for lack in found]


def job_of(facet: Facet, *models: PanelModel, obstacles: tuple[Obstacle, ...] = ()) -> Job:
    return Job("t", (facet,), PanelRules(models), obstacles, Spacing(0, 0))


def test_two_panels_may_be_pushed_apart_along_either_axis() -> None:
    job = job_of(rectangle("m", 1995, 997), panel("P", 1000, 500))
    found = lacks_of(job, (0, 0, 0), (0, 990, 490))
    assert found == [("x", 5, EDGES), ("y", 3, EDGES)]


def test_neighbours_across_a_corner_do_not_hide_what_one_axis_lacks() -> None:
    """The first and the last are apart by -4 mm along x, -5 along y; along x they would lack 6 mm more."""
    job = job_of(rectangle("m", 2000, 995), panel("A", 1003, 500), panel("B", 997, 500))
    found = lacks_of(job, (0, 0, 0), (1, 1000, 0), (1, 0, 495), (0, 999, 495))
    assert found == [("y", 5, EDGES)]


def test_what_lacks_along_both_axes_is_not_told() -> None:
    job = job_of(rectangle("m", 1995, 995), panel("P", 1000, 500))
    assert lacks_of(job, (0, 0, 0), (0, 990, 0), (0, 0, 490), (0, 990, 490)) == []


def test_what_fits_lacks_nothing() -> None:
    job = job_of(rectangle("m", 2000, 500), panel("P", 1000, 500))
    assert lacks_of(job, (0, 0, 0), (0, 990, 0)) == []


def test_beside_the_shoulder_of_a_vent() -> None:
    """Radius 200: 120 mm from its middle it is 160 wide to each side; 150 mm from it, 132.3 deep."""
    vent = Obstacle("vent", "m", "vent", centre_mm=(200, 400), diameter_mm=400)
    job = job_of(rectangle("m", 950, 400), panel("P", 600, 280), obstacles=(vent,))
    assert lacks_of(job, (0, 350, 0)) == [
        ("x", 10, ("vent", "the edge")),
        ("y", 13, ("the edge", "vent")),
    ]


@pytest.mark.parametrize(
    ("along_x_mm", "along_y_mm", "watts"), [(9, 0, 0), (10, 0, 100), (0, 12, 0), (0, 13, 100)]
)
def test_beside_the_shoulder_a_millimetre_less_is_not_enough(
    along_x_mm: int, along_y_mm: int, watts: int
) -> None:
    """The same roof, longer behind the panel or deeper between it and the vent."""
    vent = Obstacle("vent", "m", "vent", centre_mm=(200, 400 + along_y_mm), diameter_mm=400)
    roof = rectangle("m", 950 + along_x_mm, 400 + along_y_mm)
    assert packed(job_of(roof, panel("P", 600, 280), obstacles=(vent,))).watts == watts


@pytest.mark.parametrize("nose", [((1000, 0), (1600, 600)), ((1600, 0), (1000, 600))])
def test_touching_a_slanted_nose_is_not_told(nose: tuple[tuple[float, float], tuple[float, float]]) -> None:
    """Where it leaves 500 of 600 mm it is 1100 mm long; a little shorter is true, but may not be found."""
    roof = Facet("m", ((0, 0), *nose, (0, 600)))
    assert lacks_of(job_of(roof, panel("P", 1107, 500)), (0, 0, 50)) == []


def test_a_slanted_nose_out_of_the_way_changes_nothing() -> None:
    roof = Facet("m", ((0, 0), (1000, 0), (1600, 600), (0, 600)))
    assert lacks_of(job_of(roof, panel("P", 900, 303)), (0, 0, 0), (0, 0, 300)) == [("y", 6, EDGES)]


def test_a_thing_behind_the_thing_keeps_silent() -> None:
    """The hatch is 5 mm off the box behind it: were it 10 mm smaller, the box would be in the way."""
    hatch, beyond = square_on("hatch", "m", 990, 0, 1090, 500), square_on("box", "m", 995, 0, 1095, 500)
    job = job_of(rectangle("m", 3000, 500), panel("P", 1000, 500), obstacles=(hatch,))
    assert lacks_of(job, (0, 0, 0)) == [("x", 10, ("the edge", "hatch"))]
    assert lacks_of(replace(job, obstacles=(hatch, beyond)), (0, 0, 0)) == []


@pytest.mark.parametrize(
    ("front_mm", "told"),
    [
        (1490, [("x", 10, ("hatch", "the edge"))]),
        (1495, []),  # were the hatch 10 mm smaller, the front would lack 5 mm all the same
        (1510, [("x", 20, EDGES)]),
    ],
)
def test_each_of_the_two_things_alone_is_enough(front_mm: float, told: list[Told]) -> None:
    """A panel beside a hatch that begins 500 mm from the end, and one in front of both."""
    hatch = square_on("hatch", "m", 0, 400, 500, 900)
    job = job_of(
        rectangle("m", 1490, 900), panel("P", 1000, 500), panel("Q", front_mm, 400), obstacles=(hatch,)
    )
    assert lacks_of(job, (0, 500, 400), (1, 0, 0)) == told


# promises, kept


def cluttered(seed: int) -> Job:
    """A small roof with a round vent and a box, every second one with a slanted corner."""
    random = Random(seed)
    long, deep = random.randint(1500, 2300), random.randint(900, 1300)
    cut = random.randint(150, 500) if seed % 2 else 0
    corner = ((long - cut, 0), (long, cut)) if cut else ((long, 0),)
    roof = Facet("m", ((0, 0), *corner, (long, deep), (0, deep)))
    vent = Obstacle(
        "vent",
        "m",
        "vent",
        centre_mm=(random.randint(300, 700), random.randint(300, deep - 300)),
        diameter_mm=random.randint(250, 450),
        clearance_mm=20,
    )
    x, y = random.randint(1000, long - 400), random.randint(200, deep - 400)
    box = square_on("box", "m", x, y, x + random.randint(100, 400), y + random.randint(100, 400))
    sizes = ((random.randint(500, 1300), random.randint(300, 700)) for _ in range(2))
    models = tuple(PanelModel(f"M{i}", w, h, float(w * h // 5000)) for i, (w, h) in enumerate(sizes))
    return Job("cluttered", (roof,), PanelRules(models), (vent, box), Spacing(10, 60))


def given_way(job: Job, miss: NearMiss) -> Iterator[Job]:
    """The job with each of the two things giving way alone: all that was promised."""
    axis = "xy".index(miss.axis)
    (facet,) = job.facets
    for where, name in enumerate(miss.between):
        if name == "the edge":
            edge_mm = job.spacing.from_edge_mm - miss.short_mm
            yield replace(job, spacing=replace(job.spacing, from_edge_mm=edge_mm))
            if miss.between == EDGES or where == 1:
                end = facet.outline_mm[-2][axis]
                far = tuple(moved(p, axis, miss.short_mm * (p[axis] == end)) for p in facet.outline_mm)
                yield replace(job, facets=(replace(facet, outline_mm=far),))
        else:
            mm = miss.short_mm if where == 1 else -miss.short_mm
            changed = (gives(o, axis, mm) if o.name == name else o for o in job.obstacles)
            yield replace(job, obstacles=tuple(changed))


def moved(point: tuple[float, float], axis: int, mm: float) -> tuple[float, float]:
    x, y = point
    return (x + mm, y) if axis == 0 else (x, y + mm)


def gives(o: Obstacle, axis: int, mm: float) -> Obstacle:
    """The radius less by so much, or a box smaller on the side that is in the way."""
    if o.diameter_mm is not None:
        return replace(o, diameter_mm=o.diameter_mm - 2 * abs(mm))
    assert o.outline_mm is not None
    side = (min if mm > 0 else max)(p[axis] for p in o.outline_mm)
    return replace(o, outline_mm=tuple(moved(p, axis, mm * (p[axis] == side)) for p in o.outline_mm))


@pytest.mark.parametrize("seed", [10, 17, 22, 23])
def test_promised_watts_come_when_either_of_the_two_gives_way(seed: int) -> None:
    """Seeds that tell something quickly: with a vent first, a vent last, a box, and two edges."""
    job = cluttered(seed)
    found = packed(job)
    assert found.near_misses
    for miss in found.near_misses:
        for changed in given_way(job, miss):
            assert packed(changed).watts >= found.watts + miss.watts
