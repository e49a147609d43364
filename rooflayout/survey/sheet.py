"""A CSV catalogue into rows of named cells, each row with its line; faults of its shape."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from rooflayout.survey.commas import HINT
from rooflayout.survey.problems import Findings, Problem
from rooflayout.survey.spans import Span
from rooflayout.survey.words import guess, is_one_line, show

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?", re.ASCII)
_COMMA_NUMBER = re.compile(r"[+-]?\d+,\d+", re.ASCII)
_WITH_UNIT = re.compile(r"([+-]?\d+(?:\.\d+)?)\s*[A-Za-z%°²/]+", re.ASCII)


class _Reporter(Protocol):
    def __call__(self, line: int, name: str, found: str, expected: str, hint: str = "") -> None: ...


Model = TypeVar("Model")


@dataclass(frozen=True, slots=True)
class Catalogue(Generic[Model]):
    """The sound models by name, and the names of all that are listed, faulty ones too."""

    models: dict[str, Model]
    listed: tuple[str, ...]


def plain_number(cell: str) -> float | None:
    """A number in ASCII digits, with or without an exponent; None for any other text."""
    plain = cell.replace("\N{MINUS SIGN}", "-")
    return float(plain) if _NUMBER.fullmatch(plain) else None


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a catalogue; `what` is panel or controller."""

    file: str
    line: int
    what: str
    cells: Mapping[str, str]
    findings: Findings

    @property
    def model(self) -> str:
        return self.cells.get("model", "")

    @property
    def name(self) -> str:
        """The row in the user's words."""
        return f"{self.what} {show(self.model)}" if self.model else f"{self.what} without a model"

    def problem(self, column: str, found: str, expected: str, hint: str = "") -> None:
        """Reports a fault of a cell."""
        name = f"{self.name}, {column}"
        self.findings.problems.append(Problem(self.file, self.line, name, found, expected, hint))

    def has(self, column: str) -> bool:
        """True when the cell is not blank."""
        return bool(self.cells.get(column))

    def number(self, column: str, span: Span) -> float | None:
        """The number in a cell; None when blank or wrong (then reported)."""
        cell = self.cells.get(column, "")
        if not cell:
            return None
        number = plain_number(cell)
        if number is not None:
            if span.holds(number):
                return number
            self.problem(column, cell, span.expected(number), span.hint_for(number))
            return None
        hint = ""
        unit = _WITH_UNIT.fullmatch(cell)
        if _COMMA_NUMBER.fullmatch(cell):
            hint = f"{HINT}{cell.replace(',', '.')}."
        elif unit is not None:
            hint = f"Leave the unit out: {unit.group(1)}."
        self.problem(column, show(cell), span.says, hint)
        return None


@dataclass(frozen=True, slots=True)
class Sheet:
    """The rows of a catalogue, its columns, and every model that it lists, even in a bad row."""

    rows: tuple[Row, ...]
    columns: frozenset[str]
    listed: tuple[str, ...]


def read_sheet(
    text: str,
    file: str,
    what: str,
    known: Sequence[str],
    needed: Mapping[str, str],
    findings: Findings,
) -> Sheet | None:
    """Splits a CSV text; None when it cannot be used at all.

    `needed` holds the columns that must be there, each with the reason.
    """

    def problem(line: int, name: str, found: str, expected: str, hint: str = "") -> None:
        findings.problems.append(Problem(file, line, name, found, expected, hint))

    delimiter = _delimiter(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    records: list[tuple[int, list[str]]] = []
    line = 1
    try:
        for cells in reader:
            stripped = [cell.strip() for cell in cells]
            if any(stripped):
                records.append((line, stripped))
            line = reader.line_num + 1
    except csv.Error as error:
        hint = "Is a quote left open?" if '"' in text else ""
        problem(line, "row", f"a row that is no CSV ({error})", "cells between commas", hint)
        return None
    if not records:
        problem(1, "header", "nothing", f"the columns {', '.join(needed)}")
        return None
    header_line, header = records[0]
    columns = _columns(header, known, needed, problem, header_line, findings)
    if len(records) == 1:
        problem(header_line, f"{what}s", "a header and nothing below it", "a row for each model")
    rows = []
    listed = []
    for line, cells in records[1:]:
        # A short row has its last cells blank.
        row = Row(file, line, what, dict(zip(columns, cells, strict=False)), findings)
        if row.has("model"):
            listed.append(row.model)
        if len(cells) > len(header) and any(cells[len(header) :]):
            expected = f"{len(header)} as in the header"
            hint = "A decimal comma, or a comma in a text without quotes?" if delimiter == "," else ""
            problem(line, row.name, f"{len(cells)} cells", expected, hint)
            continue
        rows.append(row)
    return Sheet(tuple(rows), frozenset(columns), tuple(dict.fromkeys(listed)))


def check_models(sheet: Sheet) -> tuple[Row, ...]:
    """The rows with a model name of their own; reports the others."""
    lines: dict[str, int] = {}
    good = []
    for row in sheet.rows:
        if not row.has("model"):
            row.problem("model", "nothing", "the model's name")
        elif not is_one_line(row.model):
            row.problem("model", show(row.model), "a name of one line")
        elif row.model in lines:
            row.problem("model", "it a second time", f"it once; line {lines[row.model]} has it already")
        else:
            lines[row.model] = row.line
            good.append(row)
    return tuple(good)


def _delimiter(text: str) -> str:
    """What the header's cells stand between: spreadsheets write commas, semicolons or tabs."""
    header = next(line for line in text.splitlines() if line.strip())
    return max(",;\t", key=header.count)


def _columns(
    header: list[str],
    known: Sequence[str],
    needed: Mapping[str, str],
    problem: _Reporter,
    line: int,
    findings: Findings,
) -> list[str]:
    """The header's names; a repeated, missing or misspelt one is reported."""
    columns = [name.casefold() for name in header]
    for i, name in enumerate(columns):
        if name and name in columns[:i]:
            problem(line, "header", f"the column {show(name)} a second time", "it once")
            columns[i] = ""  # the first one counts
    absent = [name for name in known if name not in columns]
    misspelt = {}
    for name in columns:
        likely = guess(name, absent) if name and name not in known else None
        if likely is not None and likely not in misspelt:
            misspelt[likely] = name
    for name in absent:
        typed = misspelt.get(name)
        if name in needed:
            found = show(typed) if typed is not None else "no such column"
            hint = f'Did you mean "{name}"?' if typed is not None else ""
            problem(line, f"header, column {name}", found, f"a column {name} ({needed[name]})", hint)
            if typed is not None:
                columns[columns.index(typed)] = name  # so that its cells are checked as well
        elif typed is not None:
            text = f'The column "{typed}" is not known and is ignored; did you mean "{name}"?'
            findings.note("warning", "column-ignored", text)
    return columns
