"""Which tests go to the same worker: those that share what is drawn or planned once for all of them."""

from __future__ import annotations

from typing import Any

import pytest

TOGETHER = ("tests/documents",)  # their sheets are drawn once (documents/opened_sheets.py)
ONE_BY_ONE = ("tests/packing", "tests/wiring/test_random", "tests/test_examples")  # long, and share little


def scope_of(test: str) -> str:
    """Tests of one scope go to one worker: those of a file, as a rule."""
    for room in TOGETHER:
        if test.startswith(f"{room}/"):
            return room
    return test if test.startswith(ONE_BY_ONE) else test.split("::", 1)[0]


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """With pytest -n: the scopes above, the largest first, each to whichever worker is free."""
    from xdist.scheduler import LoadScopeScheduling

    class ByScope(LoadScopeScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return scope_of(nodeid)

    return ByScope(config, log)
