"""What an electrician weighs, one figure after the other. 12 V, -5 °C and 42 °C."""

from __future__ import annotations

from dataclasses import replace

import pytest
from wired_roofs import DUCK, GOOSE, HERON

from rooflayout.job import Cable, PanelModel
from rooflayout.wiring.strain import Strain, Strung, is_above, run_mm, strain, thickest_drop_pct, working_a


def of(model: PanelModel, in_series: int, in_parallel: int, cable: Cable | None = None) -> Strain:
    return strain([Strung(model, in_series, in_parallel)], -5.0, cable or Cable())


def test_voltage_classes_of_whole_strings() -> None:
    """Goose 200 at -5 °C: 26.2 V each, so two are 52.4 V, three 78.6 V and five 131 V."""
    assert [(of(GOOSE, n, 1).above_60, of(GOOSE, n, 1).above_120) for n in (2, 3, 4, 5)] == [
        (0, 0),
        (1, 0),
        (1, 0),
        (1, 1),
    ]
    assert of(GOOSE, 3, 2).above_60 == 2


@pytest.mark.parametrize(("voc_v", "above"), [(60.0, False), (60.0 + 1e-9, False), (60.001, True)])
def test_a_class_that_is_just_met_is_not_exceeded(voc_v: float, above: bool) -> None:
    assert is_above(voc_v, 60.0) == above


def test_strings_that_need_fuses_count_each() -> None:
    """Series fuse of 20 A: the others feed 1.25 x 10.35 A each, so three strings need fuses."""
    assert [of(GOOSE, 2, n).fused for n in (1, 2, 3, 4)] == [0, 0, 3, 4]


def test_working_current() -> None:
    assert working_a(GOOSE, 2) == pytest.approx(2 * 0.947 * 10.35)
    assert working_a(replace(GOOSE, imp_a=None), 2) == pytest.approx(2 * 10.35)
    with pytest.raises(ValueError, match="no isc_a"):
        working_a(replace(GOOSE, imp_a=None, isc_a=None), 1)


def test_copper_is_current_squared() -> None:
    assert of(DUCK, 2, 1).copper == round(100 * (0.947 * 5.5) ** 2)
    assert of(DUCK, 2, 2).copper == pytest.approx(4 * of(DUCK, 2, 1).copper, abs=2)


def test_the_drop_in_the_thickest_cable_by_hand() -> None:
    """10 mm², class 5 tinned: 1.95 ohm/km at 20 °C (IEC 60228, tests' copy of the table in the references).

    At 90 °C 1.275 times that (0.00393 per K: IEC 60028, from memory); 16 m there and back: 0.0398 ohm. Four
    Goose 200 in parallel: 39.2 A, 1.56 V of the 40.8 V of two in series.
    """
    assert thickest_drop_pct([Strung(GOOSE, 2, 4)], Cable()) == pytest.approx(
        100 * 39.2 * 0.03978 / 40.82, rel=1e-3
    )
    assert of(GOOSE, 2, 4).steep == 1
    assert of(GOOSE, 2, 4, Cable(most_drop_pct=4.0)).steep == 0
    assert of(GOOSE, 2, 3).steep == 0


def test_the_jobs_lengths_count_when_both_are_given() -> None:
    assert run_mm(Cable(roof_run_mm=2500.0, gland_to_controller_mm=1500.0)) == 4000.0
    assert run_mm(Cable(roof_run_mm=2500.0)) == run_mm(Cable()) == 8000.0


def test_the_first_figure_counts_first() -> None:
    figures = [(0, 0, 0, 0, 9), (0, 0, 0, 1, 0), (0, 0, 2, 0, 0), (0, 1, 0, 0, 0), (1, 0, 0, 0, 0)]
    assert sorted(Strain(*f) for f in figures) == [Strain(*f) for f in figures]


def test_a_panel_without_voltage_is_refused() -> None:
    with pytest.raises(ValueError, match="no vmp_v"):
        thickest_drop_pct([Strung(replace(HERON, vmp_v=None), 1, 1)], Cable())
