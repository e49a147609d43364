"""Betters strings by exchanging panels between neighbouring ones, until no exchange shortens them."""

from __future__ import annotations

from collections.abc import Sequence

from rooflayout.wiring.chains import Lengths, chain_length, inserted, shortened, split_exactly

NEAREST = 8  # panels of other strings that a panel is tried against
RESOLVED_PANELS = 9  # of a string and those around it, that are split anew, and exactly
RESOLVED_PAIR = 12  # of a string and the one nearest to it
MOST_WORK = 2_000_000  # steps of such splits, so that a large roof takes its time but not more
MOST_ROUNDS = 30


class Exchange:
    """Strings, as chains of panel numbers, and the exchanges between them."""

    def __init__(self, lengths: Lengths, strings: Sequence[Sequence[int]]) -> None:
        self._lengths = lengths
        self.strings = [list(s) for s in strings]
        self._of = {panel: i for i, s in enumerate(self.strings) for panel in s}
        panels = sorted(self._of)
        self._near = {
            p: sorted((q for q in panels if q != p), key=lambda q, p=p: (lengths[p][q], q))[:NEAREST]  # type: ignore[misc]
            for p in panels
        }
        self._work_left = MOST_WORK

    def total(self) -> int:
        """Tenths of a millimetre over all strings."""
        return sum(chain_length(self._lengths, s) for s in self.strings)

    def settle(self) -> None:
        """Exchanges until nothing helps any more."""
        for i in range(len(self.strings)):
            self._put(i, shortened(self._lengths, self.strings[i]))
        for _ in range(MOST_ROUNDS):
            before = self.total()
            self._swap_panels()
            self._swap_tails()
            self._resolve()
            if self.total() >= before:
                return

    def _swap_panels(self) -> None:
        """One panel of a string for one of another, each put where it fits best."""
        for a in sorted(self._of):
            for b in self._swap_partners(a):
                i, j = self._of[a], self._of[b]
                if i == j:
                    continue
                one = [p for p in self.strings[i] if p != a]
                two = [p for p in self.strings[j] if p != b]
                rest = chain_length(self._lengths, one) + chain_length(self._lengths, two)
                longer_one, at_one = inserted(self._lengths, one, b)
                longer_two, at_two = inserted(self._lengths, two, a)
                if rest + longer_one + longer_two < self._length(i, j):
                    one.insert(at_one, b)
                    two.insert(at_two, a)
                    self._put(i, shortened(self._lengths, one))
                    self._put(j, shortened(self._lengths, two))

    def _swap_partners(self, a: int) -> list[int]:
        """Panels near this one, and those on the far side of the strings that pass near it."""
        near = self._near[a]
        ends = [end for q in near for end in (self.strings[self._of[q]][0], self.strings[self._of[q]][-1])]
        return list(dict.fromkeys([*near, *ends]))

    def _swap_tails(self) -> None:
        """The end of one string for the end of another, where the sizes stay the same."""
        for i, j in self._neighbouring():
            for turn in (False, True):
                one = self.strings[i]
                two = self.strings[j][::-1] if turn else self.strings[j]
                for cut_one in range(1, len(one)):
                    for cut_two in {cut_one, cut_one + len(two) - len(one)}:
                        if not 0 < cut_two < len(two):
                            continue
                        a = one[:cut_one] + two[cut_two:]
                        b = two[:cut_two] + one[cut_one:]
                        lengths = chain_length(self._lengths, a) + chain_length(self._lengths, b)
                        if lengths < self._length(i, j):
                            self._put(i, a if len(a) == len(one) else b)
                            self._put(j, b if len(a) == len(one) else a)
                            one = self.strings[i]
                            two = self.strings[j][::-1] if turn else self.strings[j]

    def _resolve(self) -> None:
        """A string and its nearest ones taken apart and split anew, as many as can be done exactly."""
        for i in range(len(self.strings)):
            group = self._around(i)
            members = sorted(p for k in group for p in self.strings[k])
            work = len(members) ** 2 << len(members)
            if len(group) < 2 or work > self._work_left:
                continue
            self._work_left -= work
            split = split_exactly(self._lengths, members, [len(self.strings[k]) for k in group])
            if sum(chain_length(self._lengths, s) for s in split) < self._length(*group):
                for k in group:
                    s = next(s for s in split if len(s) == len(self.strings[k]))
                    split.remove(s)
                    self._put(k, s)

    def _around(self, i: int) -> list[int]:
        group, panels = [i], len(self.strings[i])
        near = [self._of[q] for p in self.strings[i] for q in self._near[p]]
        for k in sorted(dict.fromkeys(near), key=lambda k: -near.count(k)):
            most = RESOLVED_PAIR if len(group) == 1 else RESOLVED_PANELS
            if k not in group and panels + len(self.strings[k]) <= most:
                group.append(k)
                panels += len(self.strings[k])
        return group

    def _neighbouring(self) -> list[tuple[int, int]]:
        pairs = {
            (min(self._of[p], self._of[q]), max(self._of[p], self._of[q]))
            for p, near in self._near.items()
            for q in near
        }
        return sorted((i, j) for i, j in pairs if i != j)

    def _length(self, *numbers: int) -> int:
        return sum(chain_length(self._lengths, self.strings[i]) for i in numbers)

    def _put(self, i: int, string: list[int]) -> None:
        self.strings[i] = string
        for panel in string:
            self._of[panel] = i
