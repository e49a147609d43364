"""What copper conductors lose and carry, worked out for inspection alone. Areas mm², lengths mm one way.

The bound on the current is the plain table's for cables in free air, less what heat and bundles take.
"""

from __future__ import annotations

import math

# ohm mm²/m at 20 °C: IEC 60028 (read in the reference tables, conductors.json)
RHO_20C = 0.017241
ALPHA_PER_K = 0.00393  # from 20 °C, IEC 60028, from memory
# What IEC 60228 allows finished strands of the nominal area beside solid copper: class 2 plain 1.05 to 1.07,
# class 5 tinned 1.12 to 1.19 (computed from its table, read). The middle, and within so much of it:
STRANDED, STRANDED_SPAN = 1.14, 0.10

# IEC 60228, mm², from memory beyond 1.5 to 120
METRIC_MM2 = (
    0.5,
    0.75,
    1.0,
    1.5,
    2.5,
    4.0,
    6.0,
    10.0,
    16.0,
    25.0,
    35.0,
    50.0,
    70.0,
    95.0,
    120.0,
    150.0,
    185.0,
)

# 33 CFR 183.425 table 5 (read): AWG, and A at 30 °C by insulation class. The column for 75 °C, in thin sizes
# no more than that for 60, is left out, so that the bound is a generous one.
TABLE_AIR_C = 30.0
CLASSES_C = (60.0, 80.0, 90.0, 105.0, 125.0, 200.0)
TABLE_A: dict[str, tuple[float, ...]] = {
    "18": (10, 15, 20, 20, 25, 25),
    "16": (15, 20, 25, 25, 30, 35),
    "14": (20, 25, 30, 35, 40, 45),
    "12": (25, 35, 40, 45, 50, 55),
    "10": (40, 50, 55, 60, 70, 70),
    "8": (55, 70, 70, 80, 90, 100),
    "6": (80, 100, 100, 120, 125, 135),
    "4": (105, 130, 135, 160, 170, 180),
    "3": (120, 150, 155, 180, 195, 210),
    "2": (140, 175, 180, 210, 225, 240),
    "1": (165, 210, 210, 245, 265, 280),
    "1/0": (195, 245, 245, 285, 305, 325),
    "2/0": (225, 285, 285, 330, 355, 370),
    "3/0": (260, 330, 330, 385, 410, 430),
    "4/0": (300, 385, 385, 445, 475, 510),
}

# What terminals for 75 °C take with an AWG size: NEC table 310.16 by 110.14(C), from memory; A
TERMINAL_A: dict[str, float] = {
    "18": 10,
    "16": 15,
    "14": 20,
    "12": 25,
    "10": 35,
    "8": 50,
    "6": 65,
    "4": 85,
    "3": 100,
    "2": 115,
    "1": 130,
    "1/0": 150,
    "2/0": 175,
    "3/0": 200,
    "4/0": 230,
}

# With a metric size, mm²: at 70 °C, which terminals stand (IEC 60364-5-52 523.1), A by ISO 10133; from memory
METRIC_TERMINAL_A: dict[float, float] = {
    1.5: 18,
    2.5: 25,
    4: 35,
    6: 45,
    10: 65,
    16: 90,
    25: 120,
    35: 160,
    50: 210,
    70: 265,
    95: 310,
}
# On boats a single conductor is at least this, the size of 16 AWG: 33 CFR 183.425 (read)
BOAT_AWG = "16"

# Cables that touch a roof in the sun lie in air hotter by so much, K: NEC 310.15(B), from memory
ROOF_K = 33.0
# Under the roof, in a closed cupboard, above the hottest air outside, K: common practice, no source
INSIDE_K = 10.0
# What is left of the capacity where so many circuits of two conductors lie together: IEC 60364-5-52 table
# B.52.17, row for bunched, from memory. Between two columns the smaller bundle counts: a generous bound
BUNCHED = {
    1: 1.0,
    2: 0.8,
    3: 0.7,
    4: 0.65,
    5: 0.6,
    6: 0.57,
    7: 0.54,
    8: 0.52,
    9: 0.5,
    12: 0.45,
    16: 0.41,
    20: 0.38,
}


def awg_mm2(awg: str) -> float | None:
    """Area of an AWG size, mm²: 0.127 mm x 92^((36 - n)/39) across, ASTM B258, from memory. None: no size."""
    if awg not in TABLE_A:
        return None
    number = 1 - int(awg[0]) if awg.endswith("/0") else int(awg)
    across_mm: float = 0.127 * 92 ** ((36 - number) / 39)
    return math.pi / 4 * across_mm * across_mm


def solid_drop_v(mm2: float, length_mm: float, current_a: float, conductor_c: float) -> float:
    """Voltage, V, lost there and back in solid copper: the least that a cable of that area can lose."""
    warm = 1 + ALPHA_PER_K * (conductor_c - 20)
    return 2 * length_mm / 1000 * RHO_20C * warm / mm2 * current_a


def bunched(conductors: int) -> float:
    """What is left of the capacity where so many loaded conductors lie together, two a circuit."""
    circuits = max(1, -(-conductors // 2))
    return BUNCHED[max(n for n in BUNCHED if n <= circuits)]


def most_a(mm2: float, insulation_c: float, ambient_c: float, conductors: int = 2) -> float:
    """The most, A, that a cable of that area carries without its insulation growing too hot, with so many
    loaded conductors together.

    Between the table's sizes by a power of the area, beyond them as at its ends; between its classes the
    hotter one. In hotter air than the table's by sqrt((Tc - Ta)/(Tc - 30)), NEC 310.15(B)(2), from memory.
    """
    column = next((i for i, c in enumerate(CLASSES_C) if c >= insulation_c), len(CLASSES_C) - 1)
    rows = [(awg_mm2(awg) or 0.0, row[column]) for awg, row in TABLE_A.items()]
    upper = next((i for i, (area, _) in enumerate(rows) if area >= mm2), len(rows) - 1)
    (area_1, a_1), (area_2, a_2) = rows[max(1, upper) - 1], rows[max(1, upper)]
    power = math.log(a_2 / a_1) / math.log(area_2 / area_1)
    if not area_1 <= mm2 <= area_2:
        power = 0.6  # the whole table's slope (computed)
    nearest, there = (area_1, a_1) if mm2 < area_2 else (area_2, a_2)
    cool = max(0.0, CLASSES_C[column] - ambient_c) / (CLASSES_C[column] - TABLE_AIR_C)
    carried_a: float = there * (mm2 / nearest) ** power * min(1.0, math.sqrt(cool)) * bunched(conductors)
    return carried_a
