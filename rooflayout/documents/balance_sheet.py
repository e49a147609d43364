"""Mass and balance: what is added where, what it does to what bears it, what to mind."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from ..job import Job
from ..plan import Plan
from ..vehicle.axes import middle_left_mm
from ..vehicle.notes import balance_notes, is_over, tells_limit_passed
from ..yields import Balance, Bearing
from .arrange import upper_box
from .blocks import HEADING, Block, TextBlock, draw_heading
from .energy_texts import draw_strip
from .leaf import Leaf, stacked_leaves
from .lettering import NORMAL, clean, fixed, millimetres, number
from .paper import A4, Paper
from .said import mark_of
from .table import Column, Row, TableBlock
from .vehicle_sketch import Sketch, centre_on_vehicle_mm, draw_front, draw_sketch, plan_sketch, supports_of

SKETCH_HEIGHTS = (80.0, 70.0, 62.0, 54.0, 46.0, 38.0)  # the highest at which no further sheet is needed
_BEARINGS = 104.0
_BETWEEN = 8.0
ON_THE_ROOF = (
    "Whether roof and fixings bear the panels, the wind on them and snow, is not worked out here. Local codes"
    " and licensed practice rule."
)
CAUTIONS = {
    "trailer": "Weigh coupling and axle after the work: their plates rule.",
    "motor": "Weigh both axles after the work: their plates rule.",
    "boat": "Check trim and heel afloat after the work.",
}
BY_CATALOGUE = "Masses by the catalogue, places as drawn."


@dataclass(frozen=True, slots=True)
class SketchBlock:
    """The sketch at the left, what bears at the right."""

    sketch: Sketch
    bearings: TableBlock

    @property
    def least_width(self) -> float:
        return 240.0

    def height(self, width: float) -> float:
        return max(HEADING + self.sketch.height_mm, self.bearings.height(_BEARINGS))

    def split(self, width: float, room: float) -> tuple[Block, Block] | None:
        return None

    def draw(self, paper: Paper, x: float, top: float, width: float) -> None:
        wide = width - _BEARINGS - _BETWEEN
        draw_heading(paper, f"From above, 1:{self.sketch.denominator}", x, top, wide)
        draw_front(paper, x + wide, top - NORMAL - 0.9)
        draw_sketch(paper, self.sketch, x, top - HEADING, wide)
        self.bearings.draw(paper, x + width - _BEARINGS, top, _BEARINGS)


def balance_leaves(job: Job, plan: Plan) -> list[Leaf]:
    """The sheets of mass and balance; none where no mass is known."""
    balance = plan.balance
    if balance is None:
        return []
    ways = [_sheets(job, plan, balance, height) for height in SKETCH_HEIGHTS]
    head = f"{fixed(balance.added_kg, 1)} kg added."
    weigh = () if job.vehicle is None else (CAUTIONS[job.vehicle.kind],)
    words = " ".join((BY_CATALOGUE, *weigh, ON_THE_ROOF))
    return [replace(leaf, draw=_with_strip(leaf.draw, head, words)) for leaf in min(ways, key=len)]


def _sheets(job: Job, plan: Plan, balance: Balance, sketch_mm: float) -> list[Leaf]:
    """The sheets with a sketch at most so high."""
    bearings = bearings_table(balance)
    sketch = plan_sketch(job, plan, upper_box(A4).width - _BEARINGS - _BETWEEN, sketch_mm)
    tables: list[Block] = []
    if sketch is not None and bearings is not None:
        tables.append(SketchBlock(sketch, bearings))
        bearings = None
    mind = mind_block(job, balance)
    said = [items_table(balance, sketch is not None), bearings, facts_block(job, plan)]
    pressing = any(tells_limit_passed(n) for n in balance_notes(job, balance))
    said = [mind, *said] if pressing else [*said, mind]
    texts = [block for block in said if block is not None]
    return stacked_leaves("Mass and balance", tables, texts)


def _with_strip(draw: Callable[[Paper], None], head: str, words: str) -> Callable[[Paper], None]:
    def both(paper: Paper) -> None:
        draw(paper)
        draw_strip(paper, head, words)

    return both


def items_table(balance: Balance, sketched: bool = False) -> TableBlock | None:
    """A row an item: mass and place; all of it last."""
    if not balance.items:
        return None
    rows = [Row((clean(i.item), fixed(i.kg, 1), _place(i.x_mm), _place(i.y_mm))) for i in balance.items]
    centre = (_place(balance.centre_x_mm), _place(balance.centre_y_mm))
    rows.append(Row(("all, and its centre", fixed(balance.added_kg, 1), *centre)))
    notes = ["x, y: from above, from the first facet's datum along its x and y."]
    if sketched:
        notes.append("In the sketch a dot each, its area as its mass.")
    if any(i.x_mm is None for i in balance.items):
        notes.append("–: it is not known where; not in the centre.")
    columns = (
        Column(("added",), "left", flexible=True),
        Column(("mass", "kg")),
        Column(("x", "mm")),
        Column(("y", "mm")),
    )
    return TableBlock("What is added", columns, tuple(rows), tuple(notes), NORMAL)


def bearings_table(balance: Balance) -> TableBlock | None:
    """A row for each that bears: before, change, after, limit."""
    if not balance.bearings:
        return None
    columns = (
        Column(("part",), "left", flexible=True),
        Column(("before", "kg")),
        Column(("change", "kg")),
        Column(("after", "kg")),
        Column(("limit", "kg")),
        Column(("of the", "limit")),
    )
    notes = ["Roof: panels, mounts and cables, kept panels before."]
    if any(b.before_kg is None for b in balance.bearings):
        notes.append("–: not given. Weigh it before the work.")
    rows = tuple(_bearing_row(b) for b in balance.bearings)
    return TableBlock("What bears it", columns, rows, tuple(notes), NORMAL)


def _bearing_row(b: Bearing) -> Row:
    share = "–"
    if b.after_kg is not None and b.most_kg:
        pct = 100.0 * b.after_kg / b.most_kg
        share = f"{fixed(pct, 1)} %, over" if is_over(b) else f"{number(pct)} %"
    return Row(
        (
            clean(b.what),
            "–" if b.before_kg is None else fixed(b.before_kg, 1),
            signed(b.change_kg),
            "–" if b.after_kg is None else fixed(b.after_kg, 1),
            "–" if b.most_kg is None else number(b.most_kg, 1),
            share,
        )
    )


def signed(kg: float) -> str:
    """A change, with its sign."""
    return ("+" if round(kg, 1) > 0 else "") + fixed(kg, 1).replace("−0.0", "0.0")


def facts_block(job: Job, plan: Plan) -> TextBlock | None:
    """Where the centre lies, what is left to load, what lies on the roof under the panels."""
    balance = plan.balance
    assert balance is not None
    said = [*_centre_words(job, plan), *_limits_words(job, balance), *_roof_words(job, balance)]
    return TextBlock("What it comes to", tuple(("", s) for s in said), NORMAL) if said else None


def _centre_words(job: Job, plan: Plan) -> list[str]:
    """The centre's distance from axle and centre line, of a vehicle."""
    centre, middle = centre_on_vehicle_mm(job, plan), middle_left_mm(job)
    if job.vehicle is None or centre is None:
        return []
    parts = []
    for support in supports_of(job):
        if support.name != "coupling" and support.name != "front axle":
            off = centre[0] - support.ahead_mm
            side = "ahead of" if off >= 0 else "behind"
            parts.append(f"{number(abs(off))} mm {side} the {support.name}")
    if middle is not None:
        off = centre[1] - middle
        parts.append(f"{number(abs(off))} mm to the {_side(off)} of the centre line")
    return [f"The centre of what is added lies {' and '.join(parts)}."] if parts else []


def _limits_words(job: Job, balance: Balance) -> list[str]:
    said = []
    if balance.lopsided_kg_m is not None:
        most = None if job.vehicle is None else job.vehicle.most_lopsided_kg_m
        limit = "" if most is None else f", limit {number(most, 1)} kg m"
        size = abs(balance.lopsided_kg_m)
        more = f"{fixed(size, 1)} kg m to the {_side(balance.lopsided_kg_m)}" if size >= 0.05 else "even"
        said.append(f"Left against right: {more}{limit}.")
    if balance.payload_left_kg is not None:
        left = balance.payload_left_kg
        said.append(
            f"Payload left: {fixed(left, 1)} kg may still be loaded."
            if left >= 0
            else f"Payload left: none, the vehicle is {fixed(-left, 1)} kg too heavy."
        )
    return said


def _roof_words(job: Job, balance: Balance) -> list[str]:
    if not balance.roof_kg_m2:
        return []
    loads = [kg_m2 for _, kg_m2 in balance.roof_kg_m2]
    low, high = fixed(min(loads), 1), fixed(max(loads), 1)
    most = None if job.vehicle is None else job.vehicle.most_roof_kg_m2
    limit = "" if most is None else f"; limit {number(most, 1)} kg/m²"
    range_words = low if low == high else f"{low} to {high}"
    return [f"Under the panels with their mounts: {range_words} kg/m²{limit}."]


def mind_block(job: Job, balance: Balance) -> TextBlock | None:
    """What the balance's notes warn of, the gravest first."""
    notes = balance_notes(job, balance)
    if not notes:
        return None
    return TextBlock("To mind", tuple((mark_of(n), clean(n.text)) for n in notes), NORMAL)


def _place(value_mm: float | None) -> str:
    return "–" if value_mm is None else millimetres(round(value_mm))


def _side(value: float) -> str:
    return "left" if value > 0.0 else "right"
