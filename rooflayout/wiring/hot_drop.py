"""What cables take of a string's voltage on the hottest noon: thicker ones where too little would be left.

A string is chosen by what its panels give; the controller gets that less the drop of the cables between
them. Where the sizes that the voltage drop asks for would leave less than the controller needs, thicker
ones are taken, as thick as is usual on a roof; where these do not do either, a note says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product

from rooflayout.job import Job
from rooflayout.plan import CableRun, Note, PanelString, Wiring
from rooflayout.wiring.because import drop_out_c
from rooflayout.wiring.conductors import Size
from rooflayout.wiring.limits import TOLERANCE
from rooflayout.wiring.of_plan import limit_v, needed_v
from rooflayout.wiring.sizing import Need, carries, lost_v

# As thick as is usual from a string and from where strings join: common practice, no source. Of the AWG
# row the sizes that lose no more than the metric ones.
USUAL_STRING = ("10 mm²", "6 AWG")
USUAL_ARRAY = ("35 mm²", "2 AWG")

Sizes = tuple[Size, Size | None]  # of the strings' cables, and of the one from their joint on


def thick_enough(
    row: Sequence[Size], now: Sizes, strings: Sequence[Need], array: Need | None, spare_v: Sequence[float]
) -> Sizes | None:
    """The least copper, not thinner than now, in which no string loses more than its spare_v; None where even
    the usual sizes lose more.

    strings and array: what the cables of a tracker do; strings get one size. A size beyond the usual
    counts as usual where it is there now, or where nothing thinner carries the current.
    """
    string_sizes = _choice(row, now[0], USUAL_STRING, strings)
    array_sizes: Sequence[Size | None] = (None,)
    if array is not None and now[1] is not None:
        array_sizes = _choice(row, now[1], USUAL_ARRAY, [array])

    def copper(sizes: Sizes) -> float:
        """Grows as the volume of it: length over resistance."""
        found = sum(s.length_mm for s in strings) / sizes[0].ohm_per_km_20c
        if array is not None and sizes[1] is not None:
            found += array.length_mm / sizes[1].ohm_per_km_20c
        return found

    def keeps(sizes: Sizes) -> bool:
        after_v = 0.0 if array is None or sizes[1] is None else lost_v(sizes[1], array)
        return all(
            lost_v(sizes[0], need) + after_v <= spare + TOLERANCE * need.voltage_v
            for need, spare in zip(strings, spare_v, strict=True)
        )

    keeping = [sizes for sizes in product(string_sizes, array_sizes) if keeps(sizes)]
    return min(keeping, key=copper, default=None)


def _choice(row: Sequence[Size], now: Size, usual: tuple[str, str], needs: Sequence[Need]) -> Sequence[Size]:
    """From the present size to the thickest usual one, or to the first that carries what it must."""
    labels = [size.label for size in row]
    last = max(labels.index(label) for label in usual if label in labels)
    able = (k for k, size in enumerate(row) if all(carries(size, need) for need in needs))
    first = row.index(now)
    return row[first : max(first, last, next(able, 0)) + 1]


def behind_cables(strings: Sequence[PanelString], runs: Sequence[CableRun]) -> tuple[PanelString, ...]:
    """The strings with what is left of their voltage on the hottest noon at the controller."""
    return tuple(replace(s, vmp_hot_at_controller_v=at_controller_v(s, runs)) for s in strings)


def at_controller_v(string: PanelString, runs: Sequence[CableRun]) -> float | None:
    """What reaches the controller of a string's hot operating voltage, V; None where no size serves.

    The larger drop of the metric and of the AWG sizes counts, so that it holds for either row.
    """
    path = path_of(string, runs)
    rows = ([run.drop_v for run in path], [run.drop_awg_v for run in path])
    lost = [sum(v for v in drops if v is not None) for drops in rows if drops and None not in drops]
    return string.vmp_hot_v - max(lost) if lost else None


def path_of(string: PanelString, runs: Sequence[CableRun]) -> list[CableRun]:
    """The runs between a string and its controller: its own, and the one from the joint if it ends there."""
    own = [run for run in runs if run.kind == "string" and run.start == string.string]
    return [*own, *(run for run in runs if run.kind == "array" and run.start in {r.end for r in own})]


def hot_drop_notes(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """A warning for each tracker that gets less than its controller needs in the heat, behind the cables."""
    trackers: dict[tuple[str, int], list[PanelString]] = {}
    for string in wiring.strings:
        at_v, least_v = string.vmp_hot_at_controller_v, needed_v(job, wiring, string)
        if at_v is not None and least_v is not None and at_v < least_v * (1.0 - TOLERANCE):
            trackers.setdefault((string.controller, string.tracker), []).append(string)
    return tuple(_note(job, wiring, strings) for strings in trackers.values())


def _note(job: Job, wiring: Wiring, strings: Sequence[PanelString]) -> Note:
    worst = min(strings, key=lambda s: s.vmp_hot_at_controller_v or 0.0)
    at_v, least_v = worst.vmp_hot_at_controller_v or 0.0, needed_v(job, wiring, worst) or 0.0
    drop_v = worst.vmp_hot_v - at_v
    model = job.panel_models()[worst.model]
    runs = " and ".join(run.run for run in path_of(worst, wiring.runs))
    names = ", ".join(s.string for s in strings)
    until_c = drop_out_c(model, worst.in_series, least_v + drop_v)
    cures = ["a shorter way", "thicker cable than is usual"]
    most_v = limit_v(job, wiring, worst)
    one_more_v = worst.voc_cold_v / worst.in_series * (worst.in_series + 1)
    if most_v is not None and one_more_v <= most_v:
        cures.insert(0, f"{worst.in_series + 1} in series instead of {worst.in_series}")
    text = (
        f"{names} on {worst.controller}: on the hottest noon {worst.vmp_hot_v:.2f} V at the panels, less "
        f"{drop_v:.2f} V in {runs}: {at_v:.2f} V reach {worst.controller}, which needs {least_v:.2f} V. With "
        f"cells above {until_c:.0f} °C it charges less or not at all; {' or '.join(cures)} would mend it."
    )
    return Note("warning", "hot-drop", text)
