"""On which line each key of a TOML or JSON text stands, since their parsers do not tell.

The text has been, or will be, checked by tomllib or json; this only walks over it and notes lines.
A place is a tuple of keys and list indices: ("obstacle", 1, "clearance"), ("facet", 0, "outline", 2).
"""

from __future__ import annotations

import json
import re
import tomllib
from bisect import bisect_right
from dataclasses import dataclass, field

Place = tuple[str | int, ...]

_BLANK_TOML = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BLANK_JSON = re.compile(r"[ \t\r\n]*")
_SPACE = re.compile(r"[ \t]*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BARE_VALUE = re.compile(r"[^,\]}\n#]+")
_STRINGS = (  # the longer quotes first
    re.compile(r'"""(?:[^\\]|\\.)*?"""(?!")', re.DOTALL),
    re.compile(r"'''.*?'''(?!')", re.DOTALL),
    re.compile(r'"(?:[^"\\\n]|\\.)*"'),
    re.compile(r"'[^'\n]*'"),
)


@dataclass(frozen=True, slots=True)
class Repeated:
    """A key or table that is written twice."""

    place: Place
    line: int
    first_line: int


@dataclass
class LineIndex:
    """Lines of places; `lost_in` is the line of the statement that could not be followed, if any."""

    lines: dict[Place, int] = field(default_factory=dict)
    repeated: list[Repeated] = field(default_factory=list)
    lost_in: int | None = None

    def line(self, place: Place) -> int | None:
        """The line of the place, else of the nearest thing that contains it."""
        for length in range(len(place), 0, -1):
            found = self.lines.get(place[:length])
            if found is not None:
                return found
        return None


def toml_lines(text: str) -> LineIndex:
    """The lines of a TOML text; stops quietly where the text stops being TOML."""
    return _Walk(text, "=", _BLANK_TOML).toml()


def json_lines(text: str) -> LineIndex:
    """The lines of a JSON text; stops quietly where the text stops being JSON."""
    return _Walk(text, ":", _BLANK_JSON).json()


class _LostError(Exception):
    """The text is not what it should be."""


class _Walk:
    def __init__(self, text: str, sign: str, blank: re.Pattern[str]) -> None:
        self.text = text.replace("\r\n", "\n")
        self.sign = sign
        self.blank = blank
        self.at = 0
        self.ends = [match.start() for match in re.finditer("\n", self.text)]
        self.index = LineIndex()
        self.explicit: set[Place] = set()
        self.counts: dict[Place, int] = {}  # how many [[...]] of each name so far

    def toml(self) -> LineIndex:
        table: Place = ()
        start = 0
        try:
            while True:
                self.skip(self.blank)
                start = self.at
                if self.at >= len(self.text):
                    return self.index
                if self.text.startswith("[[", self.at):
                    table = self.open_array()
                elif self.text.startswith("[", self.at):
                    table = self.open_table()
                else:
                    self.pair(table)
        except (_LostError, RecursionError):
            self.index.lost_in = self.line(start)
        return self.index

    def json(self) -> LineIndex:
        try:
            self.skip(self.blank)
            self.value(())
        except (_LostError, RecursionError):
            self.index.lost_in = self.line(self.at)
        return self.index

    def line(self, position: int) -> int:
        return bisect_right(self.ends, position - 1) + 1

    def skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:
            raise _LostError
        self.at = match.end()
        return match.group()

    def take(self, mark: str) -> None:
        if not self.text.startswith(mark, self.at):
            raise _LostError
        self.at += len(mark)

    def note(self, place: Place, line: int) -> None:
        """Notes a key that is written out; a second time makes it a repeated one."""
        if place in self.explicit:
            self.index.repeated.append(Repeated(place, line, self.index.lines[place]))
            return
        self.explicit.add(place)
        self.index.lines[place] = line
        for length in range(1, len(place)):
            self.index.lines.setdefault(place[:length], line)

    def resolve(self, keys: list[str]) -> Place:
        """Header keys with the index of the latest [[...]] put in behind its name."""
        place: Place = ()
        for key in keys:
            place = (*place, key)
            if place in self.counts:
                place = (*place, self.counts[place] - 1)
        return place

    def open_array(self) -> Place:
        line = self.line(self.at)
        self.take("[[")
        keys = self.keys()
        self.take("]]")
        name = (*self.resolve(keys[:-1]), keys[-1])
        self.counts[name] = self.counts.get(name, 0) + 1
        place = (*name, self.counts[name] - 1)
        self.note(place, line)
        return place

    def open_table(self) -> Place:
        line = self.line(self.at)
        self.take("[")
        keys = self.keys()
        self.take("]")
        place = (*self.resolve(keys[:-1]), keys[-1])
        self.note(place, line)
        return place

    def keys(self) -> list[str]:
        """A dotted key in its parts."""
        parts = []
        while True:
            self.skip(_SPACE)
            parts.append(self.key())
            self.skip(_SPACE)
            if not self.text.startswith(".", self.at):
                return parts
            self.at += 1

    def key(self) -> str:
        quote = self.text[self.at : self.at + 1]
        if quote not in ('"', "'"):
            return self.skip(_BARE_KEY)
        written = self.skip(_STRINGS[2] if quote == '"' else _STRINGS[3])
        try:
            if self.sign == ":":
                return str(json.loads(written))
            return next(iter(tomllib.loads(f"{written} = 0")))
        except ValueError as error:
            raise _LostError from error

    def pair(self, table: Place) -> None:
        line = self.line(self.at)
        place = (*table, *(self.keys() if self.sign == "=" else [self.key()]))
        self.skip(self.blank if self.sign == ":" else _SPACE)
        self.take(self.sign)
        self.skip(self.blank if self.sign == ":" else _SPACE)
        self.note(place, line)
        self.value(place)

    def value(self, place: Place) -> None:
        mark = self.text[self.at : self.at + 1]
        if mark == "[":
            self.list_items(place)
        elif mark == "{":
            self.inline_table(place)
        elif mark in ('"', "'"):
            self.string()
        else:
            self.skip(_BARE_VALUE)

    def string(self) -> None:
        for pattern in _STRINGS:
            match = pattern.match(self.text, self.at)
            if match is not None:
                self.at = match.end()
                return
        raise _LostError

    def list_items(self, place: Place) -> None:
        self.take("[")
        number = 0
        while True:
            self.skip(self.blank)
            if self.text.startswith("]", self.at):
                self.at += 1
                return
            self.index.lines[(*place, number)] = self.line(self.at)
            self.value((*place, number))
            self.separator("]")
            number += 1

    def inline_table(self, place: Place) -> None:
        self.take("{")
        while True:
            self.skip(self.blank)
            if self.text.startswith("}", self.at):
                self.at += 1
                return
            self.pair(place)
            self.separator("}")

    def separator(self, end: str) -> None:
        self.skip(self.blank)
        if self.text.startswith(",", self.at):
            self.at += 1
        elif not self.text.startswith(end, self.at):
            raise _LostError
