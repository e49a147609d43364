"""What holds for all tests: one thread for matrices, and which tests go to which worker, in which order."""

from __future__ import annotations

import os
from typing import Any

import pytest

# As cli.py does, and before numpy is there: a second thread for small matrices only waits for the first.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

TOGETHER = ("tests/documents",)  # their sheets are drawn once (documents/opened_sheets.py)
ONE_BY_ONE = ("tests/packing", "tests/wiring/test_random", "tests/test_examples")  # long, and share little
# Begun first, so that no worker is left with a long one while the others have nothing more to do.
LONGEST = ("tests/test_examples", "tests/documents", "tests/test_front_door", "tests/wiring/test_random")


def scope_of(test: str) -> str:
    """Tests of one scope go to one worker: those of a file, as a rule."""
    for room in TOGETHER:
        if test.startswith(f"{room}/"):
            return room
    return test if test.startswith(ONE_BY_ONE) else test.split("::", 1)[0]


def rank_of(test: str) -> int:
    """Its place in LONGEST, or behind all of them."""
    return next((k for k, begin in enumerate(LONGEST) if test.startswith(begin)), len(LONGEST))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The longest first; all others in their order."""
    items.sort(key=lambda item: rank_of(item.nodeid))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """With pytest -n: the scopes above in the order above, each to whichever worker is free."""
    from xdist.scheduler import LoadScopeScheduling

    config.option.loadscopereorder = False  # its own order is by the number of tests, short ones or not

    class ByScope(LoadScopeScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return scope_of(nodeid)

    return ByScope(config, log)
