"""The cable schedule: a row a run."""

from __future__ import annotations

from collections.abc import Sequence

from ..job import Job
from ..plan import CableRun, Plan
from ..wiring.cable_kind import laid_words
from ..wiring.cable_notes import FUSE_WITHIN
from .blocks import Block
from .leaf import Leaf, stacked_leaves
from .lettering import NORMAL, clean, fixed, number
from .portable_leads import ESTIMATED, leads_block
from .table import Column, Row, TableBlock


def cable_leaves(job: Job, plan: Plan, last: Sequence[Block] = ()) -> list[Leaf]:
    """The sheets of the cable schedule and what comes last under it; none where there are no cables."""
    blocks = [block for block in (cables_block(job, plan), leads_block(job, plan)) if block is not None]
    return stacked_leaves("Cable schedule", blocks, last=last) if blocks else []


def cables_block(job: Job, plan: Plan) -> TableBlock | None:
    """A row a run: ends, currents, length, size, drop, protection, and what set the size."""
    if plan.wiring is None or not plan.wiring.runs:
        return None
    runs = plan.wiring.runs
    columns = (
        Column(("run",), "left"),
        Column(("from",), "left"),
        Column(("to",), "left"),
        Column(("sized", "for A")),
        Column(("works", "at A")),
        Column(("one way", "m")),
        Column(("size", "mm²")),
        Column(("carries", "A")),
        Column(("drop", "V")),
        Column(("drop", "%")),
        Column(("or", "AWG")),
        Column(("carries", "A")),
        Column(("drop", "%")),
        Column(("fuse", "A")),
        Column(("iso-", "lator"), "center"),
        Column(("what set the size",), "left", flexible=True),
    )
    notes = [
        f"Carries: {laid_words(job, plan.wiring)}. On the roof solar cable (EN 50618), which stands sun"
        " and weather.",
        "Drop: there and back, at the current it works at in full sun (Imp of the panels; charge current of"
        f" the controller), conductor at {number(job.cable.insulation_c)} °C; % of Vmp hot, or of the"
        " battery's nominal voltage.",
        "Metric or AWG, each by its own tables of current and resistance, and so not the same copper: choose"
        " one row and stay with it all the way.",
    ]
    if any(r.size_awg is not None for r in runs):
        notes.append(
            "AWG sizes carry at most what terminals for 75 °C take, and up to 10 AWG what their fuse may be;"
            " metric sizes what terminals for 70 °C take."
        )
    if any(r.estimated for r in runs):
        notes.append(f"{ESTIMATED} Length estimated, not given in the job: measure the way before cutting.")
    if any(r.fuse_a is not None for r in runs):
        notes.append(
            "Fuses stand where a fault is fed from, in the + conductor: a string's at the joint (in its −"
            " too where neither pole is earthed and the local code asks for it), a controller's at the "
            f"{controllers_end(runs)}{main_fuse(runs)}."
        )
    if any(r.size_mm2 is None or r.size_awg is None for r in runs):
        notes.append("none: no standard size serves this run; do not build it before that is mended.")
    return TableBlock("Cables", columns, tuple(_row(r) for r in runs), tuple(notes), NORMAL)


def _row(r: CableRun) -> Row:
    return Row(
        (
            r.run,
            clean(r.start),
            clean(r.end),
            fixed(r.current_a, 1),
            "–" if r.working_a is None else fixed(r.working_a, 1),
            length_m(r),
            "none" if r.size_mm2 is None else number(r.size_mm2, 2),
            "–" if r.carries_a is None else fixed(r.carries_a, 1),
            "–" if r.drop_v is None else fixed(r.drop_v, 2),
            "–" if r.drop_pct is None else fixed(r.drop_pct, 1),
            "none" if r.size_awg is None else r.size_awg,
            "–" if r.carries_awg_a is None else fixed(r.carries_awg_a, 1),
            "–" if r.drop_awg_pct is None else fixed(r.drop_awg_pct, 1),
            "–" if r.fuse_a is None else number(r.fuse_a, 1),
            "yes" if r.isolator else "–",
            clean(r.why),
        )
    )


def controllers_end(runs: Sequence[CableRun]) -> str:
    """Where the cables of the controllers end: at the battery, or at the busbar where they join."""
    return next((clean(r.end) for r in runs if r.kind == "battery"), "battery")


def main_fuse(runs: Sequence[CableRun]) -> str:
    """Where the main fuse stands, half a sentence; nothing without one."""
    fused = any(r.kind == "main" and r.fuse_a is not None for r in runs)
    return f", the main fuse {FUSE_WITHIN}" if fused else ""


def size_words(run: CableRun) -> list[str]:
    """Its metric and its AWG size, as far as they serve: "6 mm²", "10 AWG"."""
    metric = [] if run.size_mm2 is None else [f"{number(run.size_mm2, 2)} mm²"]
    return metric if run.size_awg is None else [*metric, f"{run.size_awg} AWG"]


def length_m(run: CableRun) -> str:
    """A run's length [m], with an asterisk where it is estimated."""
    return fixed(run.length_mm / 1000, 2) + (ESTIMATED if run.estimated else "")
