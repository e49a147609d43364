"""Where a table of an input file stands, in the words of a warning."""

from __future__ import annotations

from pathlib import PurePath
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rooflayout.survey.table import Table


def named_at(table: Table, key: str = "") -> str:
    """The table's name and where it, or a key of it, stands: obstacle "hatch" (van.toml:31)."""
    line = table.source.lines.line((*table.place, key) if key else table.place)
    file = PurePath(table.source.file).name
    return f"{table.name} ({file if line is None else f'{file}:{line}'})"
