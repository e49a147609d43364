"""Lines of keys: against texts written by hand, and against random texts whose lines are known."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import rooflayout
from rooflayout.survey.toml_lines import Place, json_lines, toml_lines

TRICKY = '''\
# [[facet]] in a comment
title = "[[facet]] # no comment"   # a comment with "quotes"
"quoted key" = 1
'single' . "dotted key".bare = 'C:\\'

text = """
[[facet]]
name = "not a key" ""\\""" ""
clearance = 1"""
literal = \'\'\'
x = 1
\'\'\'\'\'
[site] # comment
latitude = 40.72
nested.deep.key = 1

[[facet]]   # first
outline = [
  [0, 0],   # ] [ in a comment
  # a whole line of comment, [9, 9]
  [4600, 0], [4600, 2180],

  [0,
   2180],
]
slope=0
[facet.extra]
note = "of the first"

[[ facet ]]
name = "second"
inline = { a = 1, b = { c = [1, 2] }, "d e" = "}" }
[[facet.part]]
n = 1
[[facet.part]]
n = 2
when = 2024-05-27 07:32:00
[facet.part.more]
deep = true
'''

EXPECTED: dict[Place, int] = {
    ("title",): 2,
    ("quoted key",): 3,
    ("single",): 4,
    ("single", "dotted key", "bare"): 4,
    ("text",): 6,
    ("literal",): 10,
    ("site",): 13,
    ("site", "latitude"): 14,
    ("site", "nested", "deep", "key"): 15,
    ("facet",): 17,
    ("facet", 0): 17,
    ("facet", 0, "outline"): 18,
    ("facet", 0, "outline", 0): 19,
    ("facet", 0, "outline", 1): 21,
    ("facet", 0, "outline", 2): 21,
    ("facet", 0, "outline", 3): 23,
    ("facet", 0, "outline", 3, 1): 24,
    ("facet", 0, "slope"): 26,
    ("facet", 0, "extra"): 27,
    ("facet", 0, "extra", "note"): 28,
    ("facet", 1): 30,
    ("facet", 1, "name"): 31,
    ("facet", 1, "inline"): 32,
    ("facet", 1, "inline", "b", "c", 1): 32,
    ("facet", 1, "inline", "d e"): 32,
    ("facet", 1, "part", 0): 33,
    ("facet", 1, "part", 0, "n"): 34,
    ("facet", 1, "part", 1): 35,
    ("facet", 1, "part", 1, "n"): 36,
    ("facet", 1, "part", 1, "when"): 37,
    ("facet", 1, "part", 1, "more", "deep"): 39,
}


def _places(value: Any, place: Place = ()) -> list[Place]:
    """Every place in parsed values."""
    inside: list[tuple[str | int, Any]] = []
    if isinstance(value, dict):
        inside = list(value.items())
    elif isinstance(value, list):
        inside = list(enumerate(value))
    found = [place] if place else []
    for key, item in inside:
        found += _places(item, (*place, key))
    return found


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_tricky_text(end: str) -> None:
    text = TRICKY.replace("\n", end)
    index = toml_lines(text)
    assert {place: index.lines.get(place) for place in EXPECTED} == EXPECTED
    assert index.repeated == []
    assert index.lost_in is None
    assert set(index.lines) == set(_places(tomllib.loads(text)))


def test_a_place_that_is_not_there_gets_the_line_of_what_contains_it() -> None:
    index = toml_lines(TRICKY)
    assert index.line(("facet", 1, "outline", 3)) == 30
    assert index.line(("facet", 0, "outline", 9)) == 18
    assert index.line(("nowhere",)) is None
    assert index.line(()) is None


def test_table_that_is_opened_after_its_part_gets_its_own_line() -> None:
    index = toml_lines("[a.b]\nx = 1\n[a]\ny = 2\n")
    assert (index.line(("a",)), index.line(("a", "b")), index.line(("a", "y"))) == (3, 1, 4)
    assert index.repeated == []


def test_repeated_keys() -> None:
    index = toml_lines("a = 1\nb = 2\na = [\n3,\n]\n[t]\nx = 1\n[u]\nx = 1\n[t]\nz = {q=1,q=2}\n")
    assert [(r.place, r.line, r.first_line) for r in index.repeated] == [
        (("a",), 3, 1),
        (("t",), 10, 6),
        (("t", "z", "q"), 11, 11),
    ]


def test_text_that_is_no_toml_is_lost_in_the_statement() -> None:
    index = toml_lines("a = 1\nb = [\n 1,\n 2\nc = 3\n")
    assert index.lost_in == 2
    assert index.line(("a",)) == 1


EXAMPLES = sorted((Path(rooflayout.__file__).parents[1] / "roofs").glob("*.toml"))
EXAMPLES += sorted((Path(__file__).parent / "good").glob("*.toml"))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_key_of_the_examples_stands_on_its_line(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    lines = toml_lines(text).lines
    places = _places(tomllib.loads(text))
    assert set(lines) == set(places)
    for place in places:
        if isinstance(place[-1], str):
            assert place[-1] in text.splitlines()[lines[place] - 1]


# Random texts: each value is a number of its own, so that it tells its line.
KEY = st.sampled_from(["a", "b-c", "d_e", "1", '"q r"', "'s.t'", '"u#v"', '"[w]"', '"\\u0041x"'])
BLANK = st.sampled_from(["", "\n", '# [x] = "y\n', "  # ' \n", "\t\n\n"])


@st.composite
def texts(draw: st.DrawFn) -> str:
    number = 0

    def value(depth: int) -> str:
        nonlocal number
        number += 1
        shape = draw(st.integers(0, 5)) if depth < 3 else 0
        if shape == 1:
            items = [value(depth + 1) for _ in range(draw(st.integers(0, 3)))]
            return "[" + draw(BLANK) + ("," + draw(BLANK)).join(items) + draw(BLANK) + "]"
        if shape == 2:
            keys = draw(st.lists(KEY, max_size=3, unique=True))
            return "{ " + ", ".join(f"{key} = {value(depth + 1)}" for key in keys) + " }"
        if shape == 3:
            return draw(
                st.sampled_from(
                    [
                        '"# ]"',
                        "'\"'",
                        '"""\n[a]\n"""',
                        '"""\nb = 1"""""',
                        "'''\nb = 1''''",
                        '"\\"}"',
                        '""',
                        "''",
                    ]
                )
            )
        if shape == 4:
            return draw(st.sampled_from(["true", "1.5e3", "nan", "1979-05-27 07:32:00", "-inf", "0x1f"]))
        return str(1_000_000 + number)

    def pairs() -> str:
        keys = draw(st.lists(KEY, max_size=4, unique=True))
        return "".join(
            f"{draw(BLANK)}{key} = {value(0)}{draw(st.sampled_from(['', ' # x']))}\n" for key in keys
        )

    text = pairs()
    for i in range(draw(st.integers(0, 4))):
        text += (
            draw(BLANK)
            + draw(st.sampled_from(["[[T]]", f"[T{i}]", f"[ U . V{i} ]", '[["W x"]]']))
            + "\n"
            + pairs()
        )
    return text


@settings(max_examples=400, deadline=None)
@given(texts())
def test_random_texts(text: str) -> None:
    values = tomllib.loads(text)
    index = toml_lines(text)
    assert set(index.lines) == set(_places(values))
    assert (index.repeated, index.lost_in) == ([], None)
    rows = text.splitlines()
    for place in _places(values):
        value: Any = values
        for part in place:
            value = value[part]
        if isinstance(value, int) and value > 1_000_000:
            assert str(value) in rows[index.lines[place] - 1]


@settings(max_examples=200, deadline=None)
@given(st.text(alphabet="a1=[]{}\"'#,.\n\\ ", max_size=60))
def test_rubbish_never_raises(text: str) -> None:
    toml_lines(text)
    json_lines(text)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=12,
)


@settings(max_examples=300, deadline=None)
@given(JSON, st.sampled_from([None, 0, 2]), st.booleans())
def test_json_lines(values: Any, indent: int | None, plain: bool) -> None:
    text = json.dumps(values, indent=indent, ensure_ascii=plain)
    index = json_lines(text)
    assert (index.repeated, index.lost_in) == ([], None)
    assert set(index.lines) == set(_places(values))
    if indent is not None and isinstance(values, dict):
        rows = text.split("\n")
        for key in values:
            written = " " * indent + json.dumps(key, ensure_ascii=plain)
            assert rows[index.lines[key,] - 1].startswith(written)
