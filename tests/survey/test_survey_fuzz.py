"""Whatever is done to a sound file, reading it ends in a Job or in problems that can be printed."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rooflayout.job import Job
from rooflayout.plan import Plan
from rooflayout.survey.plan_file import read_plan
from rooflayout.survey.problems import ProblemsFound
from rooflayout.survey.read import read_job

GOOD = Path(__file__).parent / "good"
STRANGE = [
    *("-1", "0", "1e999", "nan", "true", '"text"', '""', "[]", "[[]]", "{}", "{ a = 1 }", "[1, 2, 3]"),
    *(
        "12,5",
        "0x10",
        "1979-05-27",
        '"\\u0000"',
        "9" * 400,
        "'''",
        "null",
        "é",
        "\ud7ff",
        "# ",
        "=",
        '"',
        "]",
    ),
    *('"front"', '[["a", 1]]', "[nan, inf]", "0.001", "1e6", "-0.0", "\t", ";", "\r", "\x00", "[[facet]]"),
]


@pytest.fixture(scope="module")
def folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as name:
        shutil.copytree(GOOD, Path(name) / "good")
        yield Path(name) / "good"


@st.composite
def mutations(draw: st.DrawFn) -> Callable[[str], str]:
    """A few changes to a text, line by line or word by word."""
    steps = draw(
        st.lists(
            st.tuples(
                st.sampled_from(["delete", "double", "swap", "value", "word", "cut", "move"]),
                st.integers(0, 10_000),
                st.integers(0, 10_000),
                st.sampled_from(STRANGE),
            ),
            min_size=1,
            max_size=4,
        )
    )

    def mutate(text: str) -> str:
        for kind, first, second, strange in steps:
            lines = text.split("\n")
            i, j = first % len(lines), second % len(lines)
            if kind == "delete":
                del lines[i]
            elif kind == "double":
                lines.insert(j, lines[i])
            elif kind == "swap":
                lines[i], lines[j] = lines[j], lines[i]
            elif kind == "value":
                head, sign, _ = lines[i].partition("=" if "=" in lines[i] else ":")
                lines[i] = head + sign + " " + strange
            elif kind == "word":
                words = lines[i].replace(",", " , ").split(" ")
                words[second % len(words)] = strange
                lines[i] = " ".join(words)
            elif kind == "cut":
                lines[i] = lines[i][: second % (len(lines[i]) + 1)]
            else:
                lines.insert(j, lines.pop(i))
            text = "\n".join(lines) or "x"
        return text

    return mutate


def _ends_well(read: Callable[[], Any], wanted: type, files: list[Path]) -> None:
    try:
        result = read()
    except ProblemsFound as found:
        problems = found.problems
    else:
        assert isinstance(result, wanted)
        return
    assert problems
    lengths = {str(file): file.read_bytes().replace(b"\r", b"\n").count(b"\n") + 1 for file in files}
    for problem in problems:
        message = str(problem)
        message.encode("utf-8")
        assert "\n" not in message
        assert "\x00" not in message
        assert len(message) < 900
        assert problem.line is None or 1 <= problem.line <= lengths[problem.file]
        assert problem.name
        assert problem.found
        assert problem.expected


@settings(max_examples=500, deadline=None)
@given(mutate=mutations(), name=st.sampled_from(["trailer.toml", "wired.toml", "whole.toml"]))
def test_mutated_job_file(folder: Path, mutate: Callable[[str], str], name: str) -> None:
    path = folder / "mutated.toml"
    path.write_text(mutate((folder / name).read_text()), encoding="utf-8", newline="")
    files = [path, *(folder / "catalogue").iterdir()]
    _ends_well(lambda: read_job(path)[0], Job, files)


@settings(max_examples=300, deadline=None)
@given(mutate=mutations(), name=st.sampled_from(["panels.csv", "controllers.csv"]))
def test_mutated_catalogue(folder: Path, mutate: Callable[[str], str], name: str) -> None:
    path = folder / "mutated.csv"
    path.write_text(mutate((folder / "catalogue" / name).read_text()), encoding="utf-8", newline="")
    job = folder / "with-mutated-catalogue.toml"
    job.write_text((folder / "trailer.toml").read_text().replace(f"catalogue/{name}", path.name))
    _ends_well(lambda: read_job(job)[0], Job, [path, job, *(folder / "catalogue").iterdir()])


@settings(max_examples=300, deadline=None)
@given(mutate=mutations())
def test_mutated_plan(folder: Path, mutate: Callable[[str], str]) -> None:
    path = folder / "mutated.json"
    path.write_text(mutate((folder / "plan.json").read_text()), encoding="utf-8", newline="")
    job, _ = read_job(folder / "trailer.toml")
    _ends_well(lambda: read_plan(path, job), Plan, [path])


@settings(max_examples=200, deadline=None)
@given(data=st.binary(max_size=200), name=st.sampled_from(["mutated.toml", "mutated.json"]))
def test_any_bytes(folder: Path, data: bytes, name: str) -> None:
    path = folder / name
    path.write_bytes(data)
    job, _ = read_job(folder / "trailer.toml")
    if name == "mutated.toml":
        _ends_well(lambda: read_job(path)[0], Job, [path])
    else:
        _ends_well(lambda: read_plan(path, job), Plan, [path])
