"""One table of a TOML or JSON file, read key by key: what is wrong is reported, never raised.

Every getter returns None for a key that is absent or wrong; wrong ones are in the findings by then.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from rooflayout.job import Point
from rooflayout.survey.keys import KEYS, header, home_of
from rooflayout.survey.problems import Findings, Problem
from rooflayout.survey.spans import COORDINATE, LENGTH, Span, as_number, count_hint
from rooflayout.survey.toml_lines import LineIndex, Place
from rooflayout.survey.whereabouts import named_at
from rooflayout.survey.words import did_you_mean, guess, is_everyday, is_one_line, show

NOTHING = "nothing"
WITHOUT_QUOTES = "Numbers stand without quotes and without a unit."
NOT_TRUE = "Write how much, in digits; true and false are no numbers."


@dataclass(frozen=True, slots=True)
class Source:
    """A file under reading: its name in messages, its lines, and where its faults go."""

    file: str
    lines: LineIndex
    findings: Findings
    toml: bool = True

    def many(self, key: str) -> str:
        """A list of tables under this key, as it is written in such a file."""
        return f"[[{key}]]" if self.toml else f'"{key}": [{{...}}, ...]'

    def single(self, key: str) -> str:
        """A table under this key, as it is written in such a file."""
        return f"[{key}]" if self.toml else f'"{key}": {{...}}'


class Table:
    """The values of one table, its place in the file and the user's name for it."""

    def __init__(self, source: Source, values: dict[str, Any], place: Place, name: str) -> None:
        self.source = source
        self.values = values
        self.place = place
        self.name = name
        self._misspelt: set[str] = set()

    @property
    def findings(self) -> Findings:
        return self.source.findings

    def problem(self, at: Sequence[str | int], label: str, found: str, expected: str, hint: str = "") -> None:
        """Reports a fault at a place below this table."""
        name = ", ".join(part for part in (self.name, label) if part) or "job file"
        line = self.source.lines.line((*self.place, *at))
        self.findings.problems.append(Problem(self.source.file, line, name, found, expected, hint))

    def has(self, key: str) -> bool:
        """True when the key is written (or so nearly that its spelling is already reported)."""
        return self.values.get(key) is not None or key in self._misspelt

    def missing(self, key: str, expected: str, hint: str = "") -> None:
        """Reports a key that is needed and not there."""
        if key not in self._misspelt:
            self.problem((), key, NOTHING, expected, hint)

    def check_keys(self, table: str) -> None:
        """Reports keys that the job file does not know in this table."""
        known = KEYS[table]
        for key in self.values:
            if key in known:
                continue
            likely = guess(key, known)
            homes = home_of(key)
            if homes and not is_everyday(key, likely):
                hint = f"It belongs {'at' if homes[0] == 'the top' else 'under'} {' or '.join(homes)}."
            elif likely is not None:
                self._misspelt.add(likely)
                hint = f'Did you mean "{likely}"?'
            else:
                hint = f"Known here: {', '.join(known)}."
            where = f"a key of {header(table)}" if table else "a table or key of the job file"
            self.problem((key,), "", show(key), where, hint)

    def number(self, key: str, span: Span, needed: bool = False, hint: str = "") -> float | None:
        """A finite number within the span; the hint is for one that is needed and not there."""
        value = self.values.get(key)
        if value is None:
            if needed:
                self.missing(key, span.says, hint)
            return None
        return self._number(value, (key,), key, span)

    def number_or(self, key: str, span: Span, default: float) -> float:
        """A number, or the default where the key is absent (or wrong, and reported)."""
        number = self.number(key, span)
        return default if number is None else number

    def length_or(self, key: str, default: float, span: Span = LENGTH) -> float:
        """A length in mm; notes one that is above 0 and under 1 mm, likely to be in metres."""
        number = self.number_or(key, span, default)
        if 0 < number < 1:
            at = f"{named_at(self, key)}, {key}"
            text = f"{at}: {number:g} mm is very little; metres typed for millimetres?"
            self.findings.note("warning", "length-in-metres", text)
        return number

    def text(self, key: str, expected: str, needed: bool = False) -> str | None:
        """A text of one line with something in it, without the spaces round it."""
        value = self.values.get(key)
        if value is None:
            if needed:
                self.missing(key, expected)
            return None
        return self._text(value, (key,), key, expected)

    def texts(self, key: str, expected: str) -> list[str] | None:
        """A list of texts, at least one."""
        value = self.values.get(key)
        if value is None:
            return None
        if not isinstance(value, list):
            hint = f"Put it in brackets: [{show(value)}]." if isinstance(value, str) else ""
            self.problem((key,), key, show(value), expected, hint)
            return None
        if not value:
            self.problem((key,), key, "an empty list", expected)
            return None
        read = [self._text(item, (key, i), key, "a name in quotes") for i, item in enumerate(value)]
        return None if None in read else [text for text in read if text is not None]

    def flag(self, key: str, default: bool) -> bool:
        """true or false."""
        value = self.values.get(key)
        if value is None:
            return default
        if not isinstance(value, bool):
            hint = "Without quotes." if value in ("true", "false") else ""
            self.problem((key,), key, show(value), "true or false", hint)
            return default
        return value

    def choice(self, key: str, options: Sequence[str], needed: bool = False) -> str | None:
        """One of the texts given, in capitals or not."""
        expected = f"one of {', '.join(options)}"
        value = self.text(key, expected, needed)
        if value is None:
            return None
        if alike := [option for option in options if option.casefold() == value.casefold()]:
            return alike[0]
        likely = guess(value, options)
        hint = f'Did you mean "{likely}"?' if likely is not None else ""
        self.problem((key,), key, show(value), expected, hint)
        return None

    def reference(self, key: str, known: Sequence[str], what: str, needed: bool = False) -> str | None:
        """The name of something that is defined elsewhere, such as a facet."""
        if needed and self.values.get(key) is None:
            self.missing(key, f"the name of {what}", did_you_mean("", known))
            return None
        value = self.text(key, f"the name of {what}")
        if value is None or value in known:
            return value
        self.problem((key,), key, show(value), f"the name of {what}", did_you_mean(value, known))
        return None

    def pair(self, key: str, shape: str, span: Span = COORDINATE, needed: bool = False) -> Point | None:
        """Two numbers in a list."""
        value = self.values.get(key)
        if value is None:
            if needed:
                self.missing(key, shape)
            return None
        return self._pair(value, (key,), key, shape, span)

    def triple(self, key: str, shape: str, span: Span = COORDINATE) -> tuple[float, float, float] | None:
        """Three numbers in a list."""
        value = self.values.get(key)
        if value is None:
            return None
        read = self._coordinates(value, (key,), key, shape, ("x", "y", "z"), span)
        return None if read is None else (read[0], read[1], read[2])

    def points(self, key: str, needed: bool = False) -> tuple[Point, ...] | None:
        """A list of corners [x, y]; None when any of them is wrong."""
        shape = "a list of corners [[x, y], ...] in mm"
        value = self.values.get(key)
        if value is None:
            if needed:
                self.missing(key, shape)
            return None
        if not isinstance(value, list) or not any(isinstance(item, list) for item in value):
            self.problem((key,), key, show(value), shape)
            return None
        read = [
            self._pair(item, (key, i), f"{key}, corner {i + 1}", "[x, y] in mm", COORDINATE)
            for i, item in enumerate(value)
        ]
        return None if None in read else tuple(point for point in read if point is not None)

    def _number(self, value: Any, at: Sequence[str | int], label: str, span: Span) -> float | None:
        number = as_number(value)
        if number is not None and span.holds(number):
            return number
        hint = span.hint_for(number) if number is not None else ""
        if isinstance(value, str):
            hint = WITHOUT_QUOTES
        elif isinstance(value, bool):
            hint = NOT_TRUE
        self.problem(at, label, show(value), span.expected(number), hint)
        return None

    def _text(self, value: Any, at: Sequence[str | int], label: str, expected: str) -> str | None:
        if not isinstance(value, str):
            plain = isinstance(value, int | float) and not isinstance(value, bool)
            hint = f'Text stands in quotes: "{show(value)}".' if plain else ""
            self.problem(at, label, show(value), expected, hint)
            return None
        text = value.strip()
        if not text or not is_one_line(text):
            self.problem(at, label, show(value), expected if not text else "a text of one line")
            return None
        return text

    def _pair(self, value: Any, at: Sequence[str | int], label: str, shape: str, span: Span) -> Point | None:
        read = self._coordinates(value, at, label, shape, ("x", "y"), span)
        return None if read is None else (read[0], read[1])

    def _coordinates(
        self,
        value: Any,
        at: Sequence[str | int],
        label: str,
        shape: str,
        axes: Sequence[str],
        span: Span,
    ) -> list[float] | None:
        """One number for each axis; None when there are more or fewer, or any is wrong."""
        if not isinstance(value, list) or len(value) != len(axes):
            self.problem(at, label, show(value), shape, count_hint(value, axes))
            return None
        read = [self._number(v, at, f"{label}, {a}", span) for v, a in zip(value, axes, strict=True)]
        return None if None in read else [number for number in read if number is not None]


def tables(parent: Table, key: str, what: str) -> list[Table]:
    """The tables under a key that holds a list of them, each named `what "its name"` or `what 2`."""
    value = parent.values.get(key)
    if value is None:
        return []
    if isinstance(value, dict):
        hint = "There may be several, so it is a list."
        parent.problem((key,), "", parent.source.single(key), parent.source.many(key), hint)
        return [_named(parent, value, (key,), what, 1)] if value else []
    if not isinstance(value, list):
        parent.problem((key,), key, show(value), parent.source.many(key))
        return []
    found = []
    for i, item in enumerate(value):
        if isinstance(item, dict):
            found.append(_named(parent, item, (key, i), what, i + 1))
        else:
            parent.problem((key, i), f"{what} {i + 1}", show(item), parent.source.many(key))
    return found


def table(parent: Table, key: str) -> Table | None:
    """The table under a key, or None."""
    value = parent.values.get(key)
    if value is None:
        return None
    if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        hint = "There is only one, so it is no list."
        parent.problem((key,), "", parent.source.many(key), parent.source.single(key), hint)
        return None
    if not isinstance(value, dict):
        parent.problem((key,), key, show(value), parent.source.single(key))
        return None
    return Table(parent.source, value, (*parent.place, key), key)


def named_once(entries: Sequence[Table], key: str) -> None:
    """Reports a name that an earlier entry has already."""
    first: dict[str, int | None] = {}
    for entry in entries:
        name = entry.values.get(key)
        if not isinstance(name, str):
            continue
        if name in first:
            entry.problem((key,), key, show(name), "another name", f"Line {first[name]} has it already.")
        else:
            first[name] = entry.source.lines.line((*entry.place, key))


def _named(parent: Table, values: dict[str, Any], place: Place, what: str, number: int) -> Table:
    given = values.get("name", values.get(what))  # a plan names its panels under "panel"
    name = f"{what} {show(given.strip())}" if isinstance(given, str) and given.strip() else f"{what} {number}"
    return Table(parent.source, values, (*parent.place, *place), name)
