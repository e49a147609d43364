"""The live line: watts, bound and time, and what Ctrl-C does next."""

import time

import pytest

from rooflayout.live import LiveLine
from rooflayout.plan import Layout


def _shown(capsys: pytest.CaptureFixture[str], line: LiveLine) -> str:
    with line:
        time.sleep(0.7)
    return capsys.readouterr().err


def test_watts_and_bound_and_no_proof_before_the_end(capsys: pytest.CaptureFixture[str]) -> None:
    line = LiveLine(enabled=True)
    line.tell(1230.0, 1230.0)  # what is proven may be part of the job only
    shown = _shown(capsys, line)
    assert "1230 W found, at most 1230 W; looking on" in shown
    assert "proven" not in shown
    assert "Ctrl-C keeps the best" in shown


def test_a_ctrl_c_that_was_heard_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    line = LiveLine(True, lambda: True)
    line.tell(0.0, 1230.0)
    shown = _shown(capsys, line)
    assert "no layout yet, at most 1230 W" in shown
    assert "stopping; Ctrl-C again: no files" in shown
    assert "keeps the best" not in shown


@pytest.mark.parametrize("status", ["proven", "best found"])
def test_the_end_says_what_the_plan_says(capsys: pytest.CaptureFixture[str], status: str) -> None:
    line = LiveLine(enabled=True)
    line.tell(1230.0, 1230.0)
    line.drawing(Layout(1230.0, 1475.0, status, 1.0, ()))  # type: ignore[arg-type]
    assert f"1230 W, {status}; drawing" in _shown(capsys, line)


def test_no_promise_while_a_finished_plan_is_drawn(capsys: pytest.CaptureFixture[str]) -> None:
    line = LiveLine(enabled=True)
    line.drawing(Layout(1230.0, 1230.0, "proven", 1.0, ()))
    assert "keeps the best" not in _shown(capsys, line)


@pytest.mark.parametrize("heard", [False, True])
def test_a_megawatt_goes_into_eighty_columns(capsys: pytest.CaptureFixture[str], heard: bool) -> None:
    line = LiveLine(True, lambda: heard)
    line.tell(1454080.0, 1489770.0)
    shown = _shown(capsys, line).replace("\r\x1b[K", "\n").strip().splitlines()[0]
    assert shown.startswith("1454080 W found, at most 1489770 W")
    assert len(shown) + len("123") <= 80


def test_tenths_of_a_watt_are_told(capsys: pytest.CaptureFixture[str]) -> None:
    line = LiveLine(enabled=True)
    line.tell(99.9, 120.5)
    assert "99.9 W found, at most 120.5 W" in _shown(capsys, line)
