"""Lines that are no TOML, put so that the rest of the file can be read and all its faults told at once."""

from __future__ import annotations

import json
import re

_PAIR = re.compile(r"\s*([A-Za-z0-9_-]+)\s*=(.*)", re.DOTALL)
_HEADER = re.compile(r"\s*(\[{1,2})\s*([A-Za-z_-]+)\s*(\]{0,2})\s*(?:#.*)?", re.DOTALL)
_BARE = re.compile(r"\s*([A-Za-z_-]+)[\s:]+(.+)", re.DOTALL)
_QUOTES = "\"'“”„‘’«»"


def mended_line(line: str) -> str:
    """The line with its value as a text in quotes, or with its brackets closed; else as a comment.

    A value in quotes is what the user may have meant where text belongs; where a number belongs it is
    wrong, and the reader of values says so of a line of which the syntax was told already.
    """
    header = _HEADER.fullmatch(line)
    if header is not None:
        deep = max(len(header[1]), len(header[3]))
        return f"{'[' * deep}{header[2]}{']' * deep}"
    pair = _PAIR.fullmatch(line) or _BARE.fullmatch(line)
    if pair is None:
        return comment(line)
    value = pair[2].partition("#")[0].strip().strip(_QUOTES)
    return f"{pair[1]} = {json.dumps(value, ensure_ascii=False)}"


def goes_on(line: str) -> bool:
    """Whether a value begins here that more lines belong to."""
    value = line.partition("=")[2].partition("#")[0]
    return any(value.count(a) > value.count(b) for a, b in ("[]", "{}"))


def comment(line: str) -> str:
    """The line as nothing."""
    return "#" + re.sub(r"[^ -~]", " ", line)
