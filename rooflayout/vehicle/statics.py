"""Beams and hulls: what a mass does to two supports, and to a floating vehicle. Masses kg, lengths mm."""

from __future__ import annotations

import math


def on_supports_kg(kg: float, at_mm: float, one_mm: float, other_mm: float) -> tuple[float, float]:
    """What a mass adds to each of two supports along the same line: forces and moments balance.

    With `one` the coupling and `other` the axle this is m d / L and m (1 - d / L), d ahead of the axle and
    L from axle to coupling. Beyond a support the other one is relieved. Raises ValueError where both
    supports are at the same place.
    """
    if one_mm == other_mm:
        raise ValueError("two supports at the same place")
    on_one = kg * (at_mm - other_mm) / (one_mm - other_mm)
    return on_one, kg - on_one


def heel_deg(moment_kg_mm: float, displacement_kg: float, metacentric_height_mm: float) -> float:
    """Angle to which an off-centre mass heels a boat, to the side of the moment's sign.

    tan(heel) = m y / (displacement x GM), from memory, for small angles; the displacement with the mass on
    board. Raises ValueError unless displacement and metacentric height are above 0.
    """
    if displacement_kg <= 0.0 or metacentric_height_mm <= 0.0:
        raise ValueError("a boat that floats upright has displacement and metacentric height above 0")
    return math.degrees(math.atan(moment_kg_mm / (displacement_kg * metacentric_height_mm)))
