"""What two hands do goes by effort, whatever the clock says."""

from __future__ import annotations

import time
from collections.abc import Callable
from random import Random

import pytest

from rooflayout.packing.hands import Meter, Work, by_two_hands

Piece = tuple[str, tuple[int, ...], tuple[str, ...]]  # name, efforts one after the other, what follows it


class Bench:
    """Pieces of work of which some are there only once others are done; notes what happens."""

    def __init__(self, pieces: list[Piece], first: str, pause: Callable[[str], float]) -> None:
        self._pieces = {name: (efforts, then) for name, efforts, then in pieces}
        self._waiting, self._pause = [first], pause
        self.happened: list[str] = []

    def pick(self) -> Work[str] | None:
        if not self._waiting:
            return None
        name = self._waiting.pop(0)
        self.happened.append(f"begin {name}")

        def work(meter: Meter) -> str:
            for effort in self._pieces[name][0]:
                time.sleep(self._pause(name))
                meter.add(effort)
            return name

        return work

    def done(self, name: str) -> None:
        self.happened.append(f"done {name}")
        self._waiting += self._pieces[name][1]

    def run(self, workers: int) -> list[str]:
        by_two_hands(self.pick, self.done, workers)
        return self.happened


THREE: list[Piece] = [("root", (1,), ("a", "b")), ("a", (2, 2), ("c",)), ("b", (3,), ()), ("c", (1,), ())]
BY_HAND = ["begin root", "done root", "begin a", "begin b", "done b", "done a", "begin c", "done c"]


@pytest.mark.parametrize("workers", [1, 2])
@pytest.mark.parametrize("slow", ["a", "b", "none"])
def test_less_effort_ends_first_even_where_it_takes_longer(slow: str, workers: int) -> None:
    """a has 4 and b 3 after the root's 1, so b is done first; then a with what follows it."""
    assert Bench(THREE, "root", lambda name: 0.03 if name == slow else 0.0).run(workers) == BY_HAND


@pytest.mark.parametrize("seed", range(10))
def test_the_same_with_one_worker_and_two(seed: int) -> None:
    random = Random(seed)
    pieces: list[Piece] = []
    for n in range(30):
        then = tuple(str(m) for m in range(30) if m > n and (m - 1) // 2 == n)
        pieces.append((str(n), tuple(random.randint(0, 5) for _ in range(random.randint(1, 3))), then))
    alone = Bench(pieces, "0", lambda name: 0.0).run(1)
    assert len(alone) == 60
    assert Bench(pieces, "0", lambda name: Random(f"{seed} {name}").random() * 0.004).run(2) == alone


@pytest.mark.parametrize("workers", [1, 2])
def test_what_goes_wrong_in_a_piece_is_raised(workers: int) -> None:
    def fail(meter: Meter) -> str:
        raise ZeroDivisionError

    waiting: list[Work[str]] = [fail]
    with pytest.raises(ZeroDivisionError):
        by_two_hands(lambda: waiting.pop() if waiting else None, lambda name: None, workers)


@pytest.mark.parametrize("workers", [1, 2])
def test_with_nothing_to_do_it_ends(workers: int) -> None:
    by_two_hands(lambda: None, lambda name: pytest.fail("nothing was begun"), workers)


def test_both_hands_are_at_work_at_once() -> None:
    """Two pieces that each wait for the other to have begun."""
    begun: list[str] = []

    def waits_for(own: str, other: str) -> Work[str]:
        def work(meter: Meter) -> str:
            begun.append(own)
            end = time.monotonic() + 5
            while other not in begun and time.monotonic() < end:
                time.sleep(0.001)
            return own if other in begun else "alone"

        return work

    waiting = [waits_for("b", "a"), waits_for("a", "b")]
    came_to: list[str] = []
    by_two_hands(lambda: waiting.pop() if waiting else None, came_to.append, 2)
    assert sorted(came_to) == ["a", "b"]
