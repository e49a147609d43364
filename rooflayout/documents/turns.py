"""Two plans that end at once in one folder: each writes all its files in its turn, none among another's."""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Iterator
from pathlib import Path

NAME = ".rooflayout.lock"
WAIT_S = 30.0  # writing takes well under a second: whoever holds it longer is gone
PAUSE_S = 0.02


@contextlib.contextmanager
def in_turn(directory: Path) -> Iterator[None]:
    """Holds the folder for one writer. Raises OSError with a plain message where that cannot be."""
    lock = directory / NAME
    while not _taken(lock):
        _give_way(lock)
    try:
        yield
    finally:
        with contextlib.suppress(OSError):
            lock.unlink()


def _taken(lock: Path) -> bool:
    """Whether the folder is ours now."""
    try:
        os.close(os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
    except OSError as error:
        if isinstance(error, FileExistsError) and not lock.is_dir():
            return False
        raise OSError(f"cannot write {lock}: {error.strerror or error}") from error
    return True


def _give_way(lock: Path) -> None:
    """Waits a little; takes away what a writer that was killed has left."""
    with contextlib.suppress(FileNotFoundError):
        if time.time() - lock.stat().st_mtime > WAIT_S:
            lock.unlink()
            return
    time.sleep(PAUSE_S)
