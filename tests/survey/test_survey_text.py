"""Files that are not there, not files or not text."""

from __future__ import annotations

from pathlib import Path

import pytest

from rooflayout.survey.problems import Problem, ProblemsFound
from rooflayout.survey.read import read_job


def _problem(path: Path) -> Problem:
    with pytest.raises(ProblemsFound) as caught:
        read_job(path)
    (problem,) = caught.value.problems
    return problem


def test_missing_job_file_with_a_near_miss(good: Path) -> None:
    problem = _problem(good.with_name("trialer.toml"))
    assert (problem.line, problem.name, problem.found) == (None, "job file", "no such file")
    assert problem.hint == 'Did you mean "trailer.toml"?'


def test_folder_for_a_job_file(good: Path) -> None:
    problem = _problem(good.parent)
    assert problem.found == "a folder"
    assert str(good) in problem.hint


@pytest.mark.parametrize("text", ["", "\n", " \r\n\t"])
def test_empty_job_file(good: Path, text: str) -> None:
    good.write_text(text)
    assert _problem(good).found == "an empty file"


def test_latin_1_job_file_names_the_line(good: Path) -> None:
    good.write_bytes('title = "x"\n# caf\N{LATIN SMALL LETTER E WITH ACUTE}\n'.encode("latin-1"))
    problem = _problem(good)
    assert (problem.line, problem.found, problem.expected) == (2, "the byte 0xe9", "text in UTF-8")


def test_utf_16_job_file(good: Path) -> None:
    good.write_bytes(good.read_text().encode("utf-16"))
    assert _problem(good).found == "text in UTF-16"


def test_latin_1_catalogue_is_named_at_the_job_line(good: Path) -> None:
    (good.parent / "catalogue" / "panels.csv").write_bytes(b"model,length_mm\nH\xe9ron,1120\n")
    problem = _problem(good)
    assert problem.line == good.read_text().splitlines().index('catalogue = "catalogue/panels.csv"') + 1
    assert problem.name == "panels, catalogue"
    assert "the byte 0xe9 on line 2 at" in problem.found


@pytest.mark.parametrize("name", ["a" * 300, "\0", "\ud800"])
def test_names_that_no_file_can_have(good: Path, name: str) -> None:
    problem = _problem(good.with_name(name))
    assert problem.found in ("a name that no file can have", "no such file")
    str(problem).encode("utf-8")


def test_catalogue_name_with_a_null_character(good: Path) -> None:
    good.write_text(good.read_text().replace('"catalogue/panels.csv"', '"catalogue\\u0000"'))
    assert _problem(good).expected == "a text of one line"


def test_file_that_is_too_large(good: Path) -> None:
    with good.open("ab") as file:
        file.truncate(30_000_000)
    assert _problem(good).found == "30 MB"


def test_a_control_character_in_a_key_is_written_out() -> None:
    """Found by test_survey_fuzz.py: a NUL in a key that is there twice stood raw in the message."""
    from rooflayout.survey.toml_text import place_name

    assert place_name(("wiring", "\0")) == 'wiring, "\\u0000"'
    assert place_name(("facet", 1, "outline")) == "facet 2, outline"
