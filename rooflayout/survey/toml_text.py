"""TOML text into values and lines, and its syntax errors into words for a person."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from rooflayout.survey.problems import Problem
from rooflayout.survey.toml_lines import LineIndex, Place, Repeated, toml_lines
from rooflayout.survey.words import show

_AT_LINE = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)")
_DECIMAL_COMMA = re.compile(r"\d,\d")
_TELLS_OF_REPETITION = ("Cannot overwrite", "Cannot declare", "Duplicate", "Cannot mutate")
_WORDING = {
    "Invalid value": ('a number, a "text", true, false or a [list]', ""),
    "Expected newline or end of document after a statement": ("one key = value on a line", ""),
    "Expected '=' after a key in a key/value pair": ("key = value", ""),
    "Unclosed array": ("the ] that closes the list", ""),
    "Unescaped '\\' in a string": ("a text without \\", "In a path, write / instead of \\."),
    "Unterminated string": ("the quote that ends the text", ""),
}


def parse_toml(text: str, file: str) -> tuple[dict[str, Any], LineIndex, list[Problem]]:
    """Values, lines and, where the text is no TOML, the problems (the values are then empty)."""
    lines = toml_lines(text)
    try:
        return tomllib.loads(text), lines, []
    except tomllib.TOMLDecodeError as error:
        return {}, lines, _syntax_problems(str(error), text, file, lines)
    except RecursionError:
        return {}, lines, [Problem(file, None, "syntax", "lists nested very deeply", "a plain list")]
    except ValueError:  # an integer too long for Python
        found = "a number of very many digits"
        return {}, lines, [Problem(file, None, "syntax", found, "numbers of a few digits")]


def place_name(place: Place) -> str:
    """A place as the user would say it: `site`, `facet 2, outline`."""
    name = ""
    for part in place:
        if isinstance(part, int):
            name += f" {part + 1}"
        else:
            name += f", {part}" if name else part
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
