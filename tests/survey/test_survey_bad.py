"""Every file in bad/ is named after its defect and says at its end what the reader must answer.

`#! 14 | found -40 | ...` is one problem on line 14 of the file itself; `#! panels-x.csv:2 | ...` one on
line 2 of a catalogue beside it; `#! | ...` one without a line. There must be no other problem.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from rooflayout.survey.problems import ProblemsFound
from rooflayout.survey.read import read_job

BAD = Path(__file__).parent / "bad"
JOBS = sorted(BAD.glob("*.toml"))


def _expected(path: Path) -> list[tuple[str, list[str]]]:
    """For each problem the beginning of its message and fragments from the rest."""
    expected = []
    for line in path.read_text(encoding="utf-8").splitlines():
        if line.startswith("#!"):
            where, *fragments = (part.strip() for part in line.removeprefix("#!").split("|"))
            if ":" in where:
                start = f"{path.parent / where}: "
            else:
                start = f"{path}:{where}: " if where else f"{path}: "
            expected.append((start, fragments))
    return expected


def test_there_are_bad_files_for_catalogues_and_jobs() -> None:
    assert len(JOBS) > 120
    used = {path.stem for path in JOBS}
    assert all(path.stem in used for path in BAD.glob("*.csv"))


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_bad_file_gets_the_problems_that_it_expects_and_no_other(path: Path) -> None:
    expected = _expected(path)
    assert expected
    with pytest.raises(ProblemsFound) as caught:
        read_job(path)
    messages = [str(problem) for problem in caught.value.problems]
    assert len(messages) == len(expected), messages
    for message, (start, fragments) in zip(messages, expected, strict=True):
        assert message.startswith(start), message
        assert fragments
        for fragment in fragments:
            assert fragment in message
        assert "\n" not in message
