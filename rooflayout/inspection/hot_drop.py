"""What cables leave of a string's voltage on the hottest noon, and whether thicker ones would do."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rooflayout.inspection.breach import Breach, figures, plain
from rooflayout.inspection.copper import STRANDED, STRANDED_SPAN, awg_mm2, solid_drop_v
from rooflayout.inspection.duties import Duty, duties, joint_of
from rooflayout.inspection.electrical import hottest_air_c, hottest_cell_c, lacking, vmp_hot_v
from rooflayout.inspection.lookup import TOLERANCE, controller_of, models_of, strings_of
from rooflayout.job import Job
from rooflayout.plan import PanelString, Plan

# As thick as is usual on a roof, metric and AWG: common practice, no source
USUAL_MM2 = {"string": 10.0, "array": 35.0}
USUAL_AWG = {"string": "6", "array": "2"}
_ROUNDED_V = 0.01 + 1e-6  # a plan states both voltages in hundredths


def voltages_at_controllers_are_right(job: Job, plan: Plan) -> Iterator[Breach]:
    """What is stated to reach the controller is the hot voltage less the drop of its cables, the larger of
    the two rows of sizes, within 10 % of it."""
    ways = _ways(job, plan)
    for string in strings_of(plan):
        stated, hot_v = string.vmp_hot_at_controller_v, _hot_v(job, plan, string)
        if stated is None or math.isnan(stated) or hot_v is None:
            continue
        path = ways.get(string.string, [])
        lost = [STRANDED * v for awg in (False, True) if (v := _solid_v(job, path, awg)) is not None]
        if not lost:
            continue
        right = hot_v - max(lost)
        if not abs(stated - right) <= STRANDED_SPAN * max(lost) + _ROUNDED_V + 0.0005 * hot_v:
            a, b = figures(stated, right)
            text = f"{string.string} states that {a} V reach {string.controller} in the heat; it is {b} V"
            yield Breach("hot-voltage", string.string, text)


def strings_reach_their_controllers(job: Job, plan: Plan) -> Iterator[Breach]:
    """Behind its cables a string still gives what its controller needs at the hottest, where usual sizes,
    up to 10 mm² (6 AWG) from a string and 35 mm² (2 AWG) from a joint, would see to that."""
    cell_c, ways = hottest_cell_c(hottest_air_c(job, plan)), _ways(job, plan)
    for string in strings_of(plan):
        controller, hot_v = controller_of(job, plan, string.controller), _hot_v(job, plan, string)
        path = ways.get(string.string, [])
        if controller is None or job.battery is None or hot_v is None or not path:
            continue
        needed_v = job.battery.charge_v + controller.start_above_battery_v
        for awg in (False, True):
            solid_v = _solid_v(job, path, awg)
            usual_v = [v for row in {False, awg} if (v := _solid_v(job, path, row, usual=True)) is not None]
            if solid_v is None or not usual_v:
                continue
            if hot_v - STRANDED * (1 + STRANDED_SPAN) * max(usual_v) < needed_v - TOLERANCE:
                continue  # no usual cable of that row or of the metric one serves: the plan says so itself
            left_v = hot_v - STRANDED * (1 - STRANDED_SPAN) * solid_v
            if left_v < needed_v - TOLERANCE - _ROUNDED_V:
                a, b = figures(left_v, needed_v)
                runs, row = " and ".join(d.run.run for d in path), "AWG" if awg else "metric"
                text = (
                    f"{string.string} gives {plain(hot_v, 1)} V with its cells at {plain(cell_c, 1)} °C; "
                    f"behind {runs} ({row} sizes) {a} V at most are left for {string.controller}, which "
                    f"needs {b} V: thicker cable would keep it"
                )
                yield Breach("hot-drop", string.string, text)
                break


def _hot_v(job: Job, plan: Plan, string: PanelString) -> float | None:
    """What the string's panels give at the hottest, V; None where the catalogue leaves a figure blank."""
    models = models_of(job, plan, string)
    if not models or lacking(models):
        return None
    return vmp_hot_v(models, hottest_cell_c(hottest_air_c(job, plan)))


def _ways(job: Job, plan: Plan) -> dict[str, list[Duty]]:
    """By string the runs to its controller; strings of which one is missing or not known are left out."""
    found = {(d.run.kind, d.run.start): d for d in duties(job, plan)}
    ways: dict[str, list[Duty]] = {}
    for string in strings_of(plan):
        own = found.get(("string", string.string))
        array = found.get(("array", joint_of(string.controller, string.tracker)))
        if own is not None and not own.others:
            ways[string.string] = [own]
        elif own is not None and array is not None:
            ways[string.string] = [own, array]
    return ways


def _solid_v(job: Job, path: list[Duty], awg: bool, usual: bool = False) -> float | None:
    """What solid copper of the path's sizes loses, V; usual: of the usual size where that is thicker. None
    where a size or a length is not known."""
    total_v = 0.0
    for duty in path:
        run = duty.run
        mm2 = (None if run.size_awg is None else awg_mm2(run.size_awg)) if awg else run.size_mm2
        if usual:
            mm2 = max(mm2 or 0.0, _usual_mm2(run.kind, awg))
        if mm2 is None or not mm2 > 0 or not math.isfinite(run.length_mm):
            return None
        total_v += solid_drop_v(mm2, run.length_mm, duty.working_a, job.cable.insulation_c)
    return total_v if path else None


def _usual_mm2(kind: str, awg: bool) -> float:
    """Of a kind of run that has a usual size, else 0."""
    return (awg_mm2(USUAL_AWG.get(kind, "")) or 0.0) if awg else USUAL_MM2.get(kind, 0.0)
