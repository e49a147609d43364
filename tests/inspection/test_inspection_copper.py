"""The inspection's own table of copper against published values, and the planner's beside it."""

from __future__ import annotations

import pytest

from rooflayout.inspection.copper import STRANDED, STRANDED_SPAN, awg_mm2, most_a, solid_drop_v
from rooflayout.wiring.conductors import AWG, Laid, capacity_a


def test_no_awg_size_of_our_own_states_more_than_the_inspection_allows() -> None:
    """The planner's table (33 CFR 183.425) stays below the inspection's, wherever a cable lies."""
    for size in AWG:
        mm2 = awg_mm2(size.awg or "")
        assert mm2 is not None
        for insulation_c in (60, 75, 90, 105):
            for ambient_c in range(-10, 100, 15):
                for bundled in (2, 4, 6, 12, 30):
                    ours = capacity_a(size, Laid(ambient_c, insulation_c, bundled))
                    assert ours <= 1.03 * most_a(mm2, insulation_c, ambient_c, bundled) + 0.05


# Ohm per km at 20 °C: class 2 plain, class 5 plain, class 5 tinned. IEC 60228, read in three copies of the
# table (the reference tables, conductors.json).
IEC_60228 = {
    1.5: (12.1, 13.3, 13.7),
    2.5: (7.41, 7.98, 8.21),
    4: (4.61, 4.95, 5.09),
    6: (3.08, 3.3, 3.39),
    10: (1.83, 1.91, 1.95),
    16: (1.15, 1.21, 1.24),
    25: (0.727, 0.78, 0.795),
    35: (0.524, 0.554, 0.565),
    50: (0.387, 0.386, 0.393),
    70: (0.268, 0.272, 0.277),
    95: (0.193, 0.206, 0.21),
}


@pytest.mark.parametrize("mm2", IEC_60228)
def test_iec_60228_lies_within_what_strands_are_allowed(mm2: float) -> None:
    solid_ohm_per_km = solid_drop_v(mm2, 500_000, 1.0, 20.0)  # there and back: 1 km
    for ohm_per_km in IEC_60228[mm2]:
        assert abs(ohm_per_km / (STRANDED * solid_ohm_per_km) - 1) <= STRANDED_SPAN


def test_resistance_when_warm() -> None:
    """A conductor at 20 °C has 82 % of its resistance at 75 °C: read, same place."""
    assert solid_drop_v(6, 1000, 1, 20) / solid_drop_v(6, 1000, 1, 75) == pytest.approx(0.82, abs=0.005)


@pytest.mark.parametrize(
    ("awg", "mm2", "at_60_c_a", "at_90_c_a", "at_105_c_a"),
    [
        ("18", 0.823, 10, 20, 20),
        ("10", 5.261, 40, 55, 60),
        ("2", 33.631, 140, 180, 210),
        ("4/0", 107.219, 300, 385, 445),
    ],
)
def test_areas_and_currents_of_awg(
    awg: str, mm2: float, at_60_c_a: float, at_90_c_a: float, at_105_c_a: float
) -> None:
    """ASTM B258 and 33 CFR 183.425 table 5 at 30 °C: conductors.json; the currents were read there."""
    area = awg_mm2(awg)
    assert area == pytest.approx(mm2, abs=0.001)
    assert area is not None
    for insulation_c, right_a in ((60, at_60_c_a), (90, at_90_c_a), (105, at_105_c_a)):
        assert most_a(area, insulation_c, 30.0) == pytest.approx(right_a)


def test_current_grows_with_area_and_falls_with_heat() -> None:
    areas = [0.5, 0.75, 1.5, 4, 6, 10, 35, 95, 120, 185]
    found = [most_a(mm2, 90, 40) for mm2 in areas]
    assert found == sorted(found)
    assert most_a(6, 90, 89) < most_a(6, 90, 60) < most_a(6, 90, 30) == most_a(6, 90, 10)
    assert most_a(6, 90, 95) == 0.0
