"""CP-SAT, loaded when it is first used: it takes a third of a second, and a layout in rows does without it.

Stands in for `ortools.sat.python.cp_model`; whoever type checks sees that module itself.
"""

from __future__ import annotations

import sys
import threading
from importlib import import_module

from rooflayout.fetching import load

NAME = "ortools.sat.python.cp_model"


def load_beside() -> None:
    """Begin to load it while HiGHS is at work; whoever needs it before it is there waits as always."""
    if NAME not in sys.modules:
        threading.Thread(target=load, args=((NAME,),), name="cpsat").start()


def __getattr__(name: str) -> object:
    """What the module has of this name.

    Raises:
        AttributeError: it has none.
    """
    return getattr(import_module(NAME), name)
