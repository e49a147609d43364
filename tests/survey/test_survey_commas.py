"""A list saved with decimal commas is one fault, not one for each cell; a spreadsheet is no CSV."""

from __future__ import annotations

from pathlib import Path

import pytest

from rooflayout.survey.commas import HINT, TOLD, commas_told_once
from rooflayout.survey.problems import Problem, ProblemsFound
from rooflayout.survey.read import read_job

JOB = """
[[facet]]
outline = [[0, 0], [4600, 0], [4600, 2180], [0, 2180]]
slope = 95
[panels]
catalogue = "p.csv"
"""


def comma(line: int, file: str = "p.csv") -> Problem:
    return Problem(file, line, f"panel {line}, mass_kg", "7,2", "a mass", f"{HINT}7.2.")


def test_a_few_are_told_one_by_one() -> None:
    problems = [comma(line) for line in range(2, 2 + TOLD + 1)]
    assert commas_told_once(problems) == problems


def test_many_are_told_once_with_their_number_and_others_stay() -> None:
    other = Problem("p.csv", 9, "panel", "-1", "0 or more")
    problems = [*(comma(line) for line in range(2, 12)), other, comma(2, "c.csv")]
    told = commas_told_once(problems)
    assert told[:TOLD] == problems[:TOLD]
    assert told[TOLD].line == 2 + TOLD
    assert told[TOLD].found == "7 more numbers with a comma"
    assert told[TOLD + 1 :] == [other, comma(2, "c.csv")]


def test_a_list_from_an_office_with_decimal_commas(tmp_path: Path) -> None:
    rows = "".join(f"Heron {n};1120,5;530,5;110,5\n" for n in range(20))
    (tmp_path / "p.csv").write_text(f"model;length_mm;width_mm;power_w\n{rows}")
    (tmp_path / "job.toml").write_text(JOB)
    with pytest.raises(ProblemsFound) as caught:
        read_job(tmp_path / "job.toml")
    slope, *commas = caught.value.problems
    assert "slope" in slope.name
    assert len(commas) == TOLD + 1
    assert commas[-1].found == f"{60 - TOLD} more numbers with a comma"


@pytest.mark.parametrize("begins", [b"PK\x03\x04\x14\x00", b"\xd0\xcf\x11\xe0\xa1\xb1"])
def test_a_spreadsheet_is_to_be_saved_as_csv(tmp_path: Path, begins: bytes) -> None:
    (tmp_path / "p.csv").write_bytes(begins + bytes(range(256)))
    (tmp_path / "job.toml").write_text(JOB)
    with pytest.raises(ProblemsFound) as caught:
        read_job(tmp_path / "job.toml")
    assert any("spreadsheet" in p.found and "save it as CSV" in p.hint for p in caught.value.problems)
