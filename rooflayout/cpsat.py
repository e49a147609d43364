"""CP-SAT, loaded when it is first used: it takes a third of a second, and a layout in rows does without it.

Stands in for `ortools.sat.python.cp_model`; whoever type checks sees that module itself.
"""

from __future__ import annotations


def __getattr__(name: str) -> object:
    """What the module has of this name.

    Raises:
        AttributeError: it has none.
    """
    from ortools.sat.python import cp_model

    return getattr(cp_model, name)
