"""What a node of the search tree asks: is this point of the roof covered by a panel of this kind?"""

from __future__ import annotations

import numpy as np

from rooflayout.packing.choice import WHOLE, Choice
from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.grid import Floats

QUESTIONS = 3  # tried before one is asked

NOBODY = np.zeros(0, dtype=np.int64)
Answer = tuple[Bools, Ints]  # places that it rules out, groups of which it uses a place
Question = tuple[Answer, Answer]


def questions(choice: Choice, values: Floats) -> list[Question]:
    """The most promising; none if all places' values are whole. values: of the choice's columns."""
    if not ((values > WHOLE) & (values < 1.0 - WHOLE)).any():
        return []
    found = by_point(choice, values)
    if found:
        return found
    rest = np.minimum(values, 1.0 - values) * choice.worth[choice.columns]
    return [single(choice, int(rest.argmax()))]


def by_point(choice: Choice, values: Floats, most: int = QUESTIONS, of_rest: float = 1.0) -> list[Question]:
    """The most promising about points, so many at most; the choice is not changed.

    of_rest: what panels of other kinds count for beside the kind asked for.
    """
    on = np.nonzero(values > WHOLE)[0]
    places = choice.columns[on]
    kinds, of = np.unique(choice.kind[places], return_inverse=True)
    share = np.zeros((len(on), len(kinds)))
    share[np.arange(len(on)), of] = values[on]
    covered = choice.covers[:, places].astype(np.float64) @ share  # (points, kinds)
    rest = covered.sum(axis=1, keepdims=True) - covered
    worth = np.array([choice.worth[places[of == k][0]] for k in range(len(kinds))])
    score = np.minimum(covered, of_rest * rest) * worth
    found: list[Question] = []
    seen = set()
    for n in np.argsort(-score, axis=None, kind="stable").tolist():
        point, k = divmod(n, len(kinds))
        if score[point, k] <= WHOLE * worth[k] or len(found) >= most:
            break
        key = (
            int(kinds[k]),
            round(float(covered[point, k]), 6),
            round(float(rest[point, k]), 6),
        )
        if key in seen:
            continue
        seen.add(key)
        here, mine = choice.covers[point], choice.kind == kinds[k]
        found.append(((here & ~mine, NOBODY), (here & mine, NOBODY)))
    return found


def single(choice: Choice, column: int) -> Question:
    """Is this place used, or one of those that it speaks for?"""
    number, members = choice.group(int(choice.columns[column]))
    return (np.zeros(len(members), dtype=bool), np.array([number])), (members, NOBODY)
