"""Lines that are no TOML are passed over without hiding what else is wrong, and without false alarms."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from rooflayout.survey.problems import ProblemsFound
from rooflayout.survey.read import read_job
from rooflayout.survey.toml_mending import comment, mended_line
from rooflayout.survey.toml_text import MOST_TOLD, parse_toml

GOOD = Path(__file__).parent / "good"


@pytest.mark.parametrize(
    ("line", "values"),
    [
        ("slope = 20,5", {"slope": "20,5"}),
        ('name = rear "hatch"  # of wood', {"name": 'rear "hatch'}),
        ("kind = “hatch”", {"kind": "hatch"}),
        ('heading = "any', {"heading": "any"}),
        ("clearance 40", {"clearance": "40"}),
        ("clearance: 40", {"clearance": "40"}),
        (r"catalogue = C:\lists\panels.csv", {"catalogue": r"C:\lists\panels.csv"}),
        ("[[facet]", {"facet": [{}]}),
        ("[ spacing", {"spacing": {}}),
        ("??", {}),
    ],
)
def test_a_line_is_put_so_that_it_can_be_read(line: str, values: object) -> None:
    assert tomllib.loads(mended_line(line)) == values


def test_a_comment_is_nothing_whatever_the_line_held() -> None:
    assert tomllib.loads(comment('a = "\x00\x07ü\t"')) == {}


def test_every_line_of_a_good_job_broken_alone_is_one_problem_of_that_line(tmp_path: Path) -> None:
    lines = (GOOD / "trailer.toml").read_text(encoding="utf-8").splitlines()
    catalogue = (GOOD / "catalogue").resolve().as_posix()
    lines = [line.replace('"catalogue/', f'"{catalogue}/') for line in lines]
    job, tried = tmp_path / "job.toml", 0
    for k, line in enumerate(lines):
        key, equals, value = line.partition(" = ")
        if not equals or "]]" in value or value.startswith("[["):
            continue
        wide = value.strip() == "["
        broken = f"{key} = {value.partition('#')[0].strip().strip(chr(34))} !"
        job.write_text("\n".join([*lines[:k], broken, *lines[k + 1 :]]), encoding="utf-8")
        with pytest.raises(ProblemsFound) as caught:
            read_job(job)
        first, *others = caught.value.problems
        # A text that ends in another sign may be another name: then what it names is missed, and told.
        assert (first.line, first.name) == (k + 1, "syntax"), line
        if wide:  # nothing can be said of the lines that follow
            assert not others
        assert all("!" in p.found or "!" in p.hint or key in ("name", "model") for p in others), others
        tried += 1
    assert tried > 20


def test_what_goes_over_many_lines_is_told_and_no_more() -> None:
    parsed = parse_toml('a = 1,5\nb = [[0, 0],\n  [1, 1]\nc = 3\nd = "x\n', "job.toml")
    assert not parsed.whole
    assert [p.line for p in parsed.problems] == [1, 4]
    assert "begins on line 2" in parsed.problems[1].hint


def test_a_table_twice_is_told_and_no_more() -> None:
    parsed = parse_toml("[a]\nb = 1\n[a]\nb = 2\n", "job.toml")
    assert not parsed.whole
    assert [p.line for p in parsed.problems] == [3]


def test_a_letter_is_not_told_line_by_line() -> None:
    parsed = parse_toml("Dear all of you, here it is\n" * 500, "job.toml")
    assert not parsed.whole
    assert len(parsed.problems) <= MOST_TOLD + 1


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ('\n{\n  "schema": 1\n}', "JSON"),
        ("model,length_mm\nA 1,3\n", "catalogue"),
        ("price; model ;x\n", "catalogue"),
    ],
)
def test_another_file_in_the_place_of_the_job_is_named(tmp_path: Path, text: str, found: str) -> None:
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ProblemsFound) as caught:
        read_job(path)
    (problem,) = caught.value.problems
    assert found in problem.found
    assert "comes first" in problem.hint


def test_an_empty_job_is_told_how_to_begin(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text("\n", encoding="utf-8")
    with pytest.raises(ProblemsFound, match="rooflayout new"):
        read_job(path)


def test_a_thing_placed_in_metres_past_the_edge_is_asked_about(tmp_path: Path) -> None:
    (tmp_path / "p.csv").write_text("model,length_mm,width_mm,power_w\nReed 100,1000,500,100\n")
    path = tmp_path / "job.toml"
    path.write_text(
        '[[facet]]\nname = "main"\noutline = [[0, 0], [4600, 0], [4600, 2180], [0, 2180]]\n'
        '[[obstacle]]\nname = "vent"\ncentre = [2.15, 1.7]\ndiameter = 300\n[panels]\ncatalogue = "p.csv"\n'
    )
    _, notes = read_job(path)
    (note,) = (n for n in notes if n.code == "obstacle-past-outline")
    assert "metres for millimetres?" in note.text
