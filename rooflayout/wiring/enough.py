"""Charge current that the battery cannot take is worth nothing when controllers are chosen."""

from __future__ import annotations

from dataclasses import replace

from rooflayout.job import ControllerModel, Job
from rooflayout.plan import Wiring
from rooflayout.wiring import limits
from rooflayout.wiring.figures import roof_battery
from rooflayout.wiring.options import distinct


def worthless_pct(job: Job, power_w: float) -> float:
    """The share of power_w of panels that the battery's charge limit cuts off in full sun, in %.

    At the worst efficiency of the catalogue's controllers for this battery. Where every controller may cut
    off that share, all together still charge with what the battery takes, in full sun and in less. 0 where
    the job gives no limit or asks for no wiring.
    """
    if job.battery is None or job.controllers is None or power_w <= 0.0:
        return 0.0
    most_a = roof_battery(job).most_charge_a
    serving = [c for c in distinct(job.controllers.catalogue) if limits.serves_battery(c, job.battery)]
    if most_a is None or not serving:
        return 0.0
    worst_pct = min(c.efficiency_pct for c in serving)
    taken_w = most_a * job.battery.charge_v / (worst_pct / 100.0)
    return 100.0 * max(0.0, power_w - taken_w) / power_w


def as_the_battery_takes(job: Job, power_w: float) -> Job:
    """The job with most_clipped_pct raised to what the battery cuts off of power_w anyway."""
    assert job.controllers is not None
    worthless = worthless_pct(job, power_w)
    if worthless <= job.controllers.most_clipped_pct:
        return job
    return replace(job, controllers=replace(job.controllers, most_clipped_pct=worthless))


def held_by_the_battery(job: Job, wiring: Wiring, controller: str) -> str | None:
    """Why a chosen controller may cut off more than most_clipped_pct: a clause; None where it does not.

    A controller that cuts off even more than the battery would has no such excuse.
    Raises KeyError for a controller that the wiring does not know.
    """
    if job.controllers is None or job.battery is None or not job.controllers.choose:
        return None
    load = {c.controller: c for c in wiring.controllers}[controller]
    model: ControllerModel = job.controller_models()[load.model]
    if load.power_w <= 0.0:
        return None
    own_pct = 100.0 * limits.clipped_w(load.power_w, model, job.battery) / load.power_w
    worthless = worthless_pct(job, sum(c.power_w for c in wiring.controllers))
    slack = 1.0 + limits.TOLERANCE
    if own_pct <= job.controllers.most_clipped_pct * slack or own_pct > worthless * slack:
        return None
    return (
        "more charge current would be worth nothing, as the battery takes only "
        f"{roof_battery(job).most_charge_a or 0.0:.4g} A from the roof"
    )
