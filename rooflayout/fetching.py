"""Loads pvlib beside the search, so that it is there when the readings and the sun are worked out.

Loading it takes a third of a second, on a small roof as long as the search itself. HiGHS and CP-SAT let
Python go on while they work, and whoever needs pvlib before it is there waits for it as always.
"""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Iterator, Sequence
from importlib import import_module

NEEDED = ("pvlib.pvsystem", "pvlib.ivtools.sdm", "pvlib.solarposition")


@contextlib.contextmanager
def pvlib_beside(needed: bool) -> Iterator[None]:
    """What is done inside goes on while pvlib is loaded; afterwards it is there.

    needed: False loads nothing. However the inside ends, the loading comes to its own end first: no
    thread is left in the middle of a module.
    """
    if not needed:
        yield
        return
    thread = threading.Thread(target=load, args=(NEEDED,), name="pvlib", daemon=True)
    thread.start()
    try:
        yield
    finally:
        thread.join()


def load(names: Sequence[str]) -> None:
    """Modules, by name. Where one cannot be loaded, the import that needs it says so."""
    with contextlib.suppress(Exception):
        for name in names:
            import_module(name)
