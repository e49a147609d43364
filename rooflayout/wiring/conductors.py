"""Standard copper sizes: resistance when warm, current capacity where they lie, voltage drop.

Metric and AWG sizes are two rows of the same class, so that every rule serves both. Areas in mm²,
resistances in ohm per km of one conductor, currents in A, temperatures in °C, lengths in mm one way.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

ALPHA_PER_K = 0.00393  # copper, per K from 20 °C: IEC 60028, from memory
TABLE_AIR_C = 30.0  # air for which both tables of current capacity hold
TABLE8_C = 75.0  # conductor for which NEC chapter 9 table 8 holds
FEET_PER_M = 1 / 0.3048

# mm²: ohm/km at 20 °C, IEC 60228 class 5 tinned (read in three copies of the table), then current capacity
# in A at 30 °C air by insulation class: ISO 10133 table A.1 from memory. Its columns above 105 °C are left
# out: as remembered they exceed the US table below, which was read.
METRIC_ROWS: dict[float, tuple[float, tuple[float, ...]]] = {
    1.5: (13.7, (12, 18, 21, 25)),
    2.5: (8.21, (17, 25, 30, 35)),
    4: (5.09, (22, 35, 40, 45)),
    6: (3.39, (29, 45, 50, 60)),
    10: (1.95, (40, 65, 70, 90)),
    16: (1.24, (54, 90, 100, 130)),
    25: (0.795, (71, 120, 140, 170)),
    35: (0.565, (87, 160, 185, 210)),
    50: (0.393, (105, 210, 230, 270)),
    70: (0.277, (135, 265, 285, 330)),
    95: (0.210, (165, 310, 330, 380)),
}
METRIC_CLASSES_C = ((60.0, 60.0), (70.0, 70.0), (85.0, 90.0), (105.0, 105.0))  # from, to

# AWG: ohm per 1000 ft at 75 °C, NEC chapter 9 table 8, stranded and coated (read), then current capacity
# in A at 30 °C air by insulation class: 33 CFR 183.425 table 5 (read). Not No. 3, which shops do not keep
# (common practice, no source).
AWG_ROWS: dict[str, tuple[float, tuple[float, ...]]] = {
    "18": (8.45, (10, 10, 15, 20, 20, 25, 25)),
    "16": (5.29, (15, 15, 20, 25, 25, 30, 35)),
    "14": (3.26, (20, 20, 25, 30, 35, 40, 45)),
    "12": (2.05, (25, 25, 35, 40, 45, 50, 55)),
    "10": (1.29, (40, 40, 50, 55, 60, 70, 70)),
    "8": (0.809, (55, 65, 70, 70, 80, 90, 100)),
    "6": (0.510, (80, 95, 100, 100, 120, 125, 135)),
    "4": (0.321, (105, 125, 130, 135, 160, 170, 180)),
    "2": (0.201, (140, 170, 175, 180, 210, 225, 240)),
    "1": (0.160, (165, 195, 210, 210, 245, 265, 280)),
    "1/0": (0.127, (195, 230, 245, 245, 285, 305, 325)),
    "2/0": (0.101, (225, 265, 285, 285, 330, 355, 370)),
    "3/0": (0.0797, (260, 310, 330, 330, 385, 410, 430)),
    "4/0": (0.0626, (300, 360, 385, 385, 445, 475, 510)),
}
AWG_CLASSES_C = tuple((c, c) for c in (60.0, 75.0, 80.0, 90.0, 105.0, 125.0, 200.0))

# A that terminals for 75 °C take with each AWG size, however much its insulation stands: NEC 110.14(C) with
# the column for 75 °C of table 310.16, from memory. Up to 10 AWG as much as the fuse that may protect them,
# which is less: NEC 240.4(D), from memory.
AWG_TERMINAL_A = {
    **{"18": 7, "16": 10, "14": 15, "12": 20, "10": 30, "8": 50, "6": 65, "4": 85, "2": 115},
    **{"1": 130, "1/0": 150, "2/0": 175, "3/0": 200, "4/0": 230},
}
# Terminals of a metric size stand this, unless their maker says more: IEC 60364-5-52 523.1, from memory.
METRIC_TERMINAL_C = 70.0

# IEC 60364-5-52 table B.52.17, bunched in air or enclosed, from memory: circuits up to so many, factor.
CFR_BUNDLE_FACTORS = ((2, 1.0), (3, 0.7), (6, 0.6), (24, 0.5))  # loaded conductors, of the AWG row
CFR_LARGEST_BUNDLE_FACTOR = 0.4
BUNDLE_FACTORS = (
    (1, 1.00),
    (2, 0.80),
    (3, 0.70),
    (4, 0.65),
    (5, 0.60),
    (6, 0.57),
    (7, 0.54),
    (8, 0.52),
    (9, 0.50),
    (12, 0.45),
    (16, 0.41),
)
LARGEST_BUNDLE_FACTOR = 0.38  # the table's last column, 20 circuits


@dataclass(frozen=True, slots=True)
class Size:
    """One standard size: mm2 or awg names it; table_a is its row of current capacities, a class each."""

    mm2: float | None
    awg: str | None
    ohm_per_km_20c: float
    table_a: tuple[float, ...]
    classes_c: tuple[tuple[float, float], ...]

    @property
    def name(self) -> str:
        """Without its unit: "6", "10"."""
        return f"{self.awg}" if self.mm2 is None else f"{self.mm2:g}"

    @property
    def area_mm2(self) -> float:
        """Of copper; of an AWG size by ASTM B258 (from memory): 0.127 mm x 92^((36 - n)/39) across."""
        if self.mm2 is not None or self.awg is None:
            return self.mm2 or 0.0
        number = 1 - int(self.awg[0]) if "/" in self.awg else int(self.awg)
        across_mm = 0.127 * math.pow(92.0, (36 - number) / 39.0)
        return math.pi / 4.0 * across_mm * across_mm

    @property
    def label(self) -> str:
        """As written on a schedule: "6 mm²", "10 AWG"."""
        return f"{self.name} {'AWG' if self.mm2 is None else 'mm²'}"


@dataclass(frozen=True, slots=True)
class Laid:
    """Where a cable lies: the air round it, what its insulation stands, loaded conductors that touch."""

    ambient_c: float
    insulation_c: float
    bundled: int = 2


def warm_factor(conductor_c: float) -> float:
    """Resistance of copper at conductor_c over that at 20 °C; linear, as IEC 60228 converts it."""
    return 1.0 + ALPHA_PER_K * (conductor_c - 20.0)


METRIC = tuple(Size(mm2, None, ohm, row, METRIC_CLASSES_C) for mm2, (ohm, row) in METRIC_ROWS.items())
AWG = tuple(
    Size(None, awg, ohm * FEET_PER_M / warm_factor(TABLE8_C), row, AWG_CLASSES_C)
    for awg, (ohm, row) in AWG_ROWS.items()
)


def resistance_ohm_per_km(size: Size, conductor_c: float) -> float:
    """Resistance of one conductor at its own temperature."""
    return size.ohm_per_km_20c * warm_factor(conductor_c)


def drop_v(size: Size, length_mm: float, current_a: float, conductor_c: float) -> float:
    """Voltage lost there and back over length_mm one way."""
    return 2.0 * length_mm * 1e-6 * resistance_ohm_per_km(size, conductor_c) * current_a


def ambient_factor(conductor_c: float, ambient_c: float, base_c: float = TABLE_AIR_C) -> float:
    """What is left of a table's current capacity in air of ambient_c, not of the table's base_c.

    sqrt((Tc - Ta) / (Tc - Tbase)), on which the printed tables rest; 0 when the air is as hot as the
    insulation stands. Raises ValueError when the conductor is no hotter than the base.
    """
    if conductor_c <= base_c:
        raise ValueError(f"a conductor at {conductor_c:g} °C gives off no heat to air of {base_c:g} °C")
    return math.sqrt(max(0.0, conductor_c - ambient_c) / (conductor_c - base_c))


def bundle_factor(bundled: int) -> float:
    """What is left of the current capacity where so many loaded conductors lie together, two a circuit.

    Source: IEC 60364-5-52 table B.52.17 (from memory), bunched; between columns the fuller bundle counts.
    """
    circuits = math.ceil(bundled / 2)
    return next((factor for most, factor in BUNDLE_FACTORS if circuits <= most), LARGEST_BUNDLE_FACTOR)


def cfr_bundle_factor(bundled: int) -> float:
    """The same for the AWG row. Source: 33 CFR 183.425 and ABYC E-11 (from memory): 3, 4 to 6, 7 to 24 and
    more loaded conductors in a bundle."""
    return next((factor for most, factor in CFR_BUNDLE_FACTORS if bundled <= most), CFR_LARGEST_BUNDLE_FACTOR)


def capacity_a(size: Size, laid: Laid) -> float:
    """Current that the size carries for good where it lies: what its insulation stands, and at most what
    usual terminals at its ends do."""
    return min(insulation_a(size, laid), terminal_a(size))


def terminal_a(size: Size) -> float:
    """Current that heats the size in air of 30 °C no more than usual terminals stand: AWG_TERMINAL_A; of a
    metric size its capacity at METRIC_TERMINAL_C, whatever its insulation."""
    if size.awg is not None:
        return AWG_TERMINAL_A[size.awg]
    column = next(i for i, (from_c, _) in enumerate(size.classes_c) if from_c == METRIC_TERMINAL_C)
    return size.table_a[column]


def insulation_a(size: Size, laid: Laid) -> float:
    """Current that the insulation stands for good: table, times ambient and bundle factors.

    The insulation class counts as the next lower one of the table; below the lowest the capacity is 0.
    Air cooler than the table's gives no more than the table.
    """
    columns = [i for i, (from_c, _) in enumerate(size.classes_c) if from_c <= laid.insulation_c]
    if not columns:
        return 0.0
    conductor_c = min(laid.insulation_c, size.classes_c[columns[-1]][1])
    ambient = min(1.0, ambient_factor(conductor_c, laid.ambient_c))
    bundle = bundle_factor(laid.bundled)
    if size.mm2 is None:
        bundle = min(bundle, cfr_bundle_factor(laid.bundled))
    return size.table_a[columns[-1]] * ambient * bundle
