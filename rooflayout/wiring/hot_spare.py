"""Strings that on the hottest noon give hardly more than their controller needs: a note, not a limit."""

from __future__ import annotations

import math

from rooflayout.energy.climate import HOTTEST_RMSE_K
from rooflayout.job import Job
from rooflayout.plan import Note, PanelString, Wiring
from rooflayout.wiring.because import drop_out_c
from rooflayout.wiring.limits import TOLERANCE
from rooflayout.wiring.of_plan import hot_at_controller_v, needed_v

NARROW_K = 2.0 * HOTTEST_RMSE_K  # twice what an estimate of the hottest air is typically off


def hot_spare_notes(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """One note on the strings that air NARROW_K hotter than the hottest would put out of work.

    A caution where the hottest air is not given in the job. Those that fall short at the hottest air itself
    are told of by hot_drop_notes.
    """
    told = [words for s in wiring.strings if (words := _narrow(job, wiring, s))]
    if not told:
        return ()
    given = job.site is not None and job.site.hottest_c is not None
    text = (
        f"Little voltage to spare in air of {wiring.temperatures.hottest_air_c:g} °C: {', '.join(told)}. In "
        "hotter air and full sun they charge less or not at all."
    )
    return (Note("info" if given else "caution", "tight-hot-voltage", text),)


def _narrow(job: Job, wiring: Wiring, string: PanelString) -> str:
    """A string, its spare volts and the air that takes them; nothing where there are enough, or none."""
    least_v, model = needed_v(job, wiring, string), job.panel_models().get(string.model)
    if least_v is None or model is None:
        return ""
    at_v = hot_at_controller_v(string)
    lost_v = string.vmp_hot_v - at_v
    over_k = drop_out_c(model, string.in_series, least_v + lost_v) - wiring.temperatures.hottest_cell_c
    if at_v < least_v * (1.0 - TOLERANCE) or over_k >= NARROW_K:
        return ""
    until_c = math.floor(wiring.temperatures.hottest_air_c + over_k + TOLERANCE)
    return f"{string.string} {at_v - least_v:.1f} V (enough up to {until_c} °C)"
