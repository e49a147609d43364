"""The one chain of losses from a controller's strings to the battery, whatever the sun."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from rooflayout.energy.charging import Feed, limit_w
from rooflayout.job import Job
from rooflayout.plan import ControllerLoad, PanelString, Wiring

Values = NDArray[np.float64]


def feed_of(
    job: Job, wiring: Wiring, load: ControllerLoad, shares: dict[str, Values], nothing: Values
) -> Feed:
    """What a controller feeds to the battery when each watt of its strings gives shares, by string.

    After cables, what unlike strings lose, its efficiency and its charge limit as it is set; nothing: zeros
    of the shape of shares, for a controller without strings. The one chain of losses, whatever the sun.
    """
    assert job.battery is not None
    unlike = {(m.controller, m.tracker): m.loss_pct for m in wiring.mismatch}
    panels_w = nothing
    for s in (s for s in wiring.strings if s.controller == load.controller):
        kept = 1.0 - unlike.get((s.controller, s.tracker), 0.0) / 100.0
        panels_w = panels_w + kept * string_w(s.power_w, shares[s.string], _drop_pct(wiring, s))
    controller = job.controller_models()[load.model]
    most_a = controller.max_charge_a if load.set_a is None else load.set_a
    return Feed(
        panels_w,
        controller.efficiency_pct / 100.0,
        limit_w(job.battery, most_a),
        _run_drop_pct(wiring, load.controller),
    )


def string_w(power_w: float, share: Values, drop_pct: float = 0.0) -> Values:
    """What a string of power_w gives at its controller when each of its watts gives share.

    drop_pct: the cables' at the string's full power; it grows with the current.
    """
    return np.asarray(power_w * share * (1.0 - drop_pct / 100.0 * share))


def _drop_pct(wiring: Wiring, string: PanelString) -> float:
    """What the cables from a string to its controller drop at full power: its own and the joined ones."""
    joint = f"{string.controller} tracker {string.tracker} joint"
    return _run_drop_pct(wiring, string.string) + _run_drop_pct(wiring, joint)


def _run_drop_pct(wiring: Wiring, start: str) -> float:
    """The drop of the run that starts there; 0 where there is none or no cable serves."""
    return sum(r.drop_pct or 0.0 for r in wiring.runs if r.start == start)
