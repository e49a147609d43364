"""TOML text into values and lines, and its syntax errors into words for a person."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from typing import Any

from rooflayout.survey.problems import Problem
from rooflayout.survey.toml_lines import LineIndex, Place, Repeated, toml_lines
from rooflayout.survey.toml_mending import comment, goes_on, mended_line
from rooflayout.survey.words import is_one_line, show

_AT_LINE = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)")
_DECIMAL_COMMA = re.compile(r"\d,\d")
_WITH_UNIT = re.compile(r"-?[\d.]+\s*[A-Za-z°%]")
_NO_COMMA = re.compile(r"\d\s+-?\d")
MOST_TOLD = 30  # faults of syntax; a text of more is none of ours
_TELLS_OF_REPETITION = ("Cannot overwrite", "Cannot declare", "Duplicate", "Cannot mutate")
_WORDING = {
    "Invalid value": ('a number, a "text", true, false or a [list]', ""),
    "Expected newline or end of document after a statement": ("one key = value on a line", ""),
    "Expected '=' after a key in a key/value pair": ("key = value", ""),
    "Unclosed array": ("the ] that closes the list", ""),
    "Unescaped '\\' in a string": ("a text without \\", "In a path, write / instead of \\."),
    "Unterminated string": ("the quote that ends the text", ""),
    "Illegal character '\\n'": ("the quote that ends the text, on the same line", ""),
    "Expected ']' at the end of a table declaration": ("the ] that closes the table's name", ""),
    "Expected ']]' at the end of an array declaration": ("the ]] that closes the table's name", ""),
    "Invalid statement": ("key = value, [table] or [[table]]", "Remarks begin with #."),
}


@dataclass(frozen=True, slots=True)
class Parsed:
    """Values and lines, and what is no TOML; whole: all but the lines of the problems was read."""

    values: dict[str, Any]
    lines: LineIndex
    problems: tuple[Problem, ...] = ()
    whole: bool = True

    def tells_of(self, problem: Problem) -> bool:
        """Whether the problem is of a line whose syntax is one already."""
        return any((p.file, p.line) == (problem.file, problem.line) for p in self.problems)


def parse_toml(text: str, file: str) -> Parsed:
    """Values and lines; lines that are no TOML are told, mended and passed over, as far as that goes."""
    written = text.replace("\r\n", "\n").split("\n")
    told: list[Problem] = []
    while True:
        lines = toml_lines("\n".join(written))
        try:
            values = tomllib.loads("\n".join(written))
        except tomllib.TOMLDecodeError as error:
            new = _syntax_problems(str(error), "\n".join(written), file, lines)
            again = {p.line for p in told} & {p.line for p in new}
            told += [p for p in new if p.line not in again]
            if again or len(told) > MOST_TOLD or not _mend(written, new, lines):
                return Parsed({}, lines, tuple(told), whole=False)
        except RecursionError:
            deep = Problem(file, None, "syntax", "lists nested very deeply", "a plain list")
            return Parsed({}, lines, (*told, deep), whole=False)
        except ValueError:  # an integer too long for Python
            found = "a number of very many digits"
            long = Problem(file, None, "syntax", found, "numbers of a few digits")
            return Parsed({}, lines, (*told, long), whole=False)
        else:
            return Parsed(values, lines, tuple(told))


def _mend(written: list[str], problems: list[Problem], lines: LineIndex) -> bool:
    """Puts the problems' lines so that the rest can be read; False where more than a line is at fault."""
    for problem in problems:
        if problem.line is None or problem.line > len(written):
            return False
        line = written[problem.line - 1]
        if problem.name != "syntax":  # written twice; a table twice is more than a line
            if line.lstrip().startswith("["):
                return False
            written[problem.line - 1] = comment(line)
        elif (lines.lost_in is not None and lines.lost_in < problem.line) or goes_on(line):
            return False
        else:
            written[problem.line - 1] = mended_line(line)
    return True


def place_name(place: Place) -> str:
    """A place as the user would say it: `site`, `facet 2, outline`."""
    name = ""
    for part in place:
        if isinstance(part, int):
            name += f" {part + 1}"
        else:
            word = part if is_one_line(part) else show(part)
            name += f", {word}" if name else word
    return name


def _syntax_problems(message: str, text: str, file: str, lines: LineIndex) -> list[Problem]:
    if message.startswith(_TELLS_OF_REPETITION) and lines.repeated:
        return [
            Problem(
                file,
                again.line,
                place_name(again.place),
                "it a second time",
                f"it once; the first is on line {again.first_line}",
            )
            for again in _outermost(lines.repeated)
        ]
    all_lines = text.split("\n")
    at = _AT_LINE.search(message)
    at_line = int(at.group(1)) if at is not None and at.group(1) else None
    line = at_line or lines.lost_in or len(all_lines)
    cause = _AT_LINE.sub("", message)
    written = all_lines[min(line, len(all_lines)) - 1].strip()
    expected, hint = _WORDING.get(cause, (f"TOML ({cause[:1].lower()}{cause[1:]})", ""))
    hint = hint or _syntax_hint(cause, written)
    if lines.lost_in is not None and lines.lost_in < line:
        hint = f"What is not finished begins on line {lines.lost_in}. {hint}".strip()
    return [Problem(file, line, "syntax", show(written), expected, hint)]


def _outermost(repeated: list[Repeated]) -> list[Repeated]:
    """Without the keys of a table that is itself written twice."""
    places = {again.place for again in repeated}
    return [r for r in repeated if not any(r.place[:n] in places for n in range(1, len(r.place)))]


def _syntax_hint(cause: str, written: str) -> str:
    value = written.partition("=")[2].strip()
    if cause.startswith("Expected newline") and _DECIMAL_COMMA.search(value):
        return "Write decimals with a point: 12.5."
    if cause.startswith("Expected newline") and _WITH_UNIT.match(value):
        return "Numbers stand without a unit."
    if cause == "Unclosed array" and _NO_COMMA.search(value):
        return "A comma stands between two numbers: [700, 500]."
    if cause != "Invalid value":
        return ""
    if value.split("#")[0].strip() in ("True", "TRUE", "False", "FALSE", "yes", "no"):
        return "Write true or false, in small letters."
    if value.startswith("."):
        return "Write a digit before the point: 0.5."
    if any(quote in value for quote in "“”„‘’«»"):
        return 'Use straight quotes: "hatch".'
    if value[:1].isalpha():
        return 'Text stands in quotes: kind = "hatch".'
    return ""
