"""front, rear, left and right of a vehicle as directions of a facet's axes."""

from __future__ import annotations

from rooflayout.job import Direction

# Counter-clockwise, seen from above.
_RING: tuple[Direction, ...] = ("+x", "+y", "-x", "-y")
_QUARTERS = {"front": 0, "left": 1, "rear": 2, "right": 3}

AXES: tuple[str, ...] = _RING
SIDES: tuple[str, ...] = ("front", "rear", "left", "right", *_RING)


def direction(word: str, front: Direction) -> Direction:
    """The direction of one of SIDES on a facet whose front is given. Raises ValueError."""
    for axis in _RING:
        if word == axis:
            return axis
    if word not in _QUARTERS:
        raise ValueError(f"no side of a roof: {word}")
    return _RING[(_RING.index(front) + _QUARTERS[word]) % 4]
