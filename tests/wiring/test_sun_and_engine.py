"""Sun and engine charge one battery: its largest charge current is for both together (by hand)."""

from __future__ import annotations

from dataclasses import replace

from cabled_roofs import FINCH, PAIR, wired

from rooflayout.job import Job
from rooflayout.needs import Driving
from rooflayout.plan import Note, Wiring
from rooflayout.wiring.notes import unknown_charge, wiring_notes
from rooflayout.wiring.sun_and_engine import sun_and_engine


def given(most_a: float | None, engine_a: float, set_a: float | None = None) -> tuple[Job, Wiring]:
    """One controller of 60 A, set down or not, and an engine."""
    job, _, wiring = wired(PAIR)
    assert job.battery is not None
    job = replace(job, battery=replace(job.battery, most_charge_a=most_a), driving=Driving(1.0, engine_a))
    return job, replace(wiring, controllers=tuple(replace(c, set_a=set_a) for c in wiring.controllers))


def note(most_a: float, engine_a: float, set_a: float | None = None) -> Note | None:
    return next(iter(sun_and_engine(*given(most_a, engine_a, set_a))), None)


def test_both_together_are_held_against_the_battery() -> None:
    """400 W x 0.97 / 12 V = 32.3 A into a low battery."""
    told = note(60.0, 30.0)
    assert told is not None
    assert told.severity == "caution"
    assert told.text == (
        "While the engine charges in full sun, up to 32 A from the controllers and 30 A ([driving] current) "
        "reach the battery together, which takes 60 A at most: let one stop while the other charges (a "
        "battery monitor with a relay does) or set the controllers to 30 A together."
    )
    assert note(62.4, 30.0) is None
    assert note(60.0, 30.0, set_a=30.0) is None
    assert note(60.0, 60.0) is not None
    assert note(60.0, 60.5) is None  # told of the engine alone


def test_nothing_to_tell_without_an_engine_or_a_limit() -> None:
    job, wiring = given(60.0, 30.0)
    assert sun_and_engine(replace(job, driving=None), wiring) == ()
    assert sun_and_engine(*given(None, 30.0)) == ()
    assert "sun-and-engine" in [n.code for n in wiring_notes(job, wiring)]


def test_where_the_limit_is_not_known_the_sum_is_told() -> None:
    """Two Finch 200: 400 W x 0.97 / 12 V = 32.3 A into a low battery, and 30 A."""
    assert FINCH.power_w == 200
    (told,) = unknown_charge(*given(None, 30.0))
    gets = "in full sun it gets up to 32 A while it is low, and with 30 A while driving 62 A together"
    assert told.text.endswith(f"{gets}; look it up.")
