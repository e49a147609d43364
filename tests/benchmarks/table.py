"""The comparison as a table: one row a roof, then the medians and the worst of each column."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from statistics import median
from typing import Protocol

HEADS = (
    *("roof", "ours W", "bound", "proven", "first s", "proof s", "all s", "MB"),
    *("textbook W", "bound", "packer W", "rows W", "ours/textbook", "ours/packer", "ours/rows"),
)
Cell = str | float | None


class RunLike(Protocol):
    watts: float | None
    bound_w: float | None
    proven: bool
    first_s: float | None
    proof_s: float | None
    seconds: float | None
    peak_mb: float | None
    skipped: str


class ComparisonLike(Protocol):
    roof: str
    runs: dict[str, RunLike]


def print_table(found: Sequence[ComparisonLike]) -> None:
    """Prints to standard output as a Markdown table, with the reasons for what was left out below it."""
    rows = [_row(c) for c in found]
    lines = [list(HEADS), *([_text(i, cell) for i, cell in enumerate(row)] for row in rows)]
    if len(rows) > 1:
        lines.append(_summary("median", rows, lambda i, values: median(values)))
        lines.append(
            _summary("worst", rows, lambda i, values: min(values) if "/" in HEADS[i] else max(values))
        )
    widths = [max(len(line[i]) for line in lines) for i in range(len(HEADS))]
    lines.insert(1, ["-" * w for w in widths])
    for line in lines:
        cells = [
            cell.ljust(w) if i == 0 else cell.rjust(w)
            for i, (cell, w) in enumerate(zip(line, widths, strict=True))
        ]
        print("| " + " | ".join(cells) + " |")
    for comparison in found:
        for method, run in comparison.runs.items():
            if run.skipped:
                print(f"{comparison.roof}, {method}: left out ({run.skipped})")


def _row(c: ComparisonLike) -> list[Cell]:
    ours, textbook, packer, rows = (c.runs[m] for m in ("ours", "textbook", "packer", "rows"))
    return [
        *(c.roof, ours.watts, ours.bound_w, "yes" if ours.proven else "no"),
        *(ours.first_s, ours.proof_s if ours.proven else None, ours.seconds, ours.peak_mb),
        *(textbook.watts, textbook.bound_w, packer.watts, rows.watts),
        *(_ratio(ours.watts, other.watts) for other in (textbook, packer, rows)),
    ]


def _ratio(ours: float | None, theirs: float | None) -> float | None:
    return ours / theirs if ours is not None and theirs else None


def _text(column: int, cell: Cell) -> str:
    if cell is None:
        return "-"
    if isinstance(cell, str):
        return cell
    if "/" in HEADS[column]:
        return f"{cell:.3f}"
    if HEADS[column].endswith(" s"):
        return f"{cell:.1f}"
    return f"{cell:.0f}"


def _summary(
    name: str, rows: Sequence[Sequence[Cell]], pick: Callable[[int, list[float]], float]
) -> list[str]:
    """One line over all rows; watts and bounds of different roofs are not summed up."""
    line = [name]
    for i, head in enumerate(HEADS[1:], 1):
        values = [row[i] for row in rows if isinstance(row[i], (int, float))]
        if head == "proven":
            line.append(f"{sum(row[i] == 'yes' for row in rows)}/{len(rows)}")
        elif ("/" in head or head.endswith(" s") or head == "MB") and values:
            line.append(_text(i, pick(i, [float(v) for v in values if v is not None])))
        else:
            line.append("")
    return line
