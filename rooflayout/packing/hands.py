"""Two hands that work at once, in an order that does not depend on how fast they are.

Each piece of work tells how much effort it has spent so far, a number that the same work always comes to.
Which of two pieces ends first, and so which piece is begun next and what is known by then, goes by effort
and not by the clock. With one worker the same pieces are done one after the other, with the same outcome.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from typing import Generic, TypeVar

HANDS = 2
LOOK_S = 0.1  # between two looks, so that a key that was pressed is heard on every system

Result = TypeVar("Result")


class Meter:
    """The effort at which a piece of work was begun, and what it has spent since."""

    def __init__(self, begun: float, changed: threading.Condition) -> None:
        self.at = begun
        self._changed = changed

    def add(self, effort: float) -> None:
        with self._changed:
            self.at += effort
            self._changed.notify_all()


Work = Callable[[Meter], Result]


@dataclass(frozen=True, slots=True)
class _Piece(Generic[Result]):
    hand: int
    meter: Meter
    future: Future[Result]


def by_two_hands(
    pick: Callable[[], Work[Result] | None], done: Callable[[Result], None], workers: int
) -> None:
    """Until there is nothing to pick and nothing being done. Raises what a piece of work raises.

    pick: the next piece of work, or None where there is none yet. done: told what each came to, in the
    order of the effort at which they end. workers: threads; with one the second hand's work waits for it.
    """
    changed = threading.Condition()
    hands: list[_Piece[Result] | None] = [None] * HANDS
    now = 0.0

    def tell(_: Future[Result]) -> None:
        with changed:
            changed.notify_all()

    with ThreadPoolExecutor(workers) as pool:
        while True:
            for n, piece in enumerate(hands):
                work = pick() if piece is None else None
                if work is not None:
                    meter = Meter(now, changed)
                    future = pool.submit(work, meter)
                    future.add_done_callback(tell)
                    hands[n] = _Piece(n, meter, future)
            at_work = [piece for piece in hands if piece is not None]
            if not at_work:
                return
            first = _first_to_end(at_work, changed)
            hands[first.hand] = None
            now = first.meter.at
            done(first.future.result())


def _first_to_end(at_work: list[_Piece[Result]], changed: threading.Condition) -> _Piece[Result]:
    """Once it is known: one that has ended, and that all others have spent more than."""
    with changed:
        while True:
            first = min(at_work, key=lambda piece: (piece.meter.at, piece.hand))
            if first.future.done():
                return first
            changed.wait(LOOK_S)
