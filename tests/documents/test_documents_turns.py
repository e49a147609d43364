"""Plans that end at once in one folder leave the files of one of them, not a mixture."""

from __future__ import annotations

import os
import threading
import time
from pathlib import Path

import pytest

from rooflayout.documents import turns
from rooflayout.documents.turns import NAME, in_turn
from rooflayout.documents.write import replace_files


def test_two_writers_never_leave_a_mixture(tmp_path: Path) -> None:
    names = [f"sheet-{k}.pdf" for k in range(12)]
    mixed: list[set[bytes]] = []

    def write(who: bytes) -> None:
        for _ in range(15):
            with in_turn(tmp_path):
                replace_files(tmp_path, dict.fromkeys(names, who))
                found = {(tmp_path / name).read_bytes() for name in names}
            if found != {who}:
                mixed.append(found)

    writers = [threading.Thread(target=write, args=(who,)) for who in (b"one", b"other")]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(60)
    assert not mixed
    assert sorted(os.listdir(tmp_path)) == sorted(names)


def test_what_a_killed_writer_left_is_taken_away(tmp_path: Path) -> None:
    (tmp_path / NAME).touch()
    old = time.time() - 2 * turns.WAIT_S
    os.utime(tmp_path / NAME, (old, old))
    with in_turn(tmp_path):
        pass
    assert not os.listdir(tmp_path)


def test_a_writer_waits_for_the_other(tmp_path: Path) -> None:
    (tmp_path / NAME).touch()
    threading.Timer(0.3, (tmp_path / NAME).unlink).start()
    start = time.monotonic()
    with in_turn(tmp_path):
        assert time.monotonic() - start > 0.2


def test_the_turn_ends_when_writing_fails(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="broken"), in_turn(tmp_path):
        raise ValueError("broken")
    assert not os.listdir(tmp_path)


def test_a_folder_that_is_gone_is_told_plainly(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="cannot write"), in_turn(tmp_path / "gone"):
        pass
