"""How uncertainties add, and which class a place belongs to."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rooflayout.energy import uncertainty
from rooflayout.energy.uncertainty import (
    clipping_off_pct,
    harvest_off_pct,
    packaged_sun_off_pct,
    together_pct,
    within_words,
)
from rooflayout.yields import ControllerYield, Energy


def test_parts_that_know_nothing_of_one_another_add_by_squares() -> None:
    """3, 4 and 12 make 13: as the GUM's root of the sum of squares (from memory) has it."""
    assert together_pct((3.0, 4.0, 12.0)) == 13.0
    assert together_pct(()) == 0.0


def test_nine_in_ten_stay_nine_in_ten_when_parts_add() -> None:
    """Drawn at random with each part's nine in ten as stated: so many of the sums lie within the whole."""
    rng, parts = np.random.default_rng(5), (12.0, 3.0, 1.75, 3.0, 1.0, 1.5)
    drawn = sum(rng.normal(0.0, part / 1.645, 200_000) for part in parts)
    assert np.mean(np.abs(drawn) < together_pct(parts)) == pytest.approx(0.90, abs=0.003)


def test_the_harvest_is_less_certain_than_the_sun() -> None:
    level = harvest_off_pct(12.0)
    # 12, 3, 5 K at 0.35 %, 3, 1 and 1.5: by hand
    assert level.year_pct == pytest.approx((144 + 9 + 1.75**2 + 9 + 1 + 2.25) ** 0.5)
    assert level.month_pct > level.year_pct > 12.0
    assert harvest_off_pct(12.0, sloped=True).year_pct > level.year_pct
    assert harvest_off_pct(12.0, shade_pct=10.0).year_pct == pytest.approx(
        together_pct((level.year_pct, 5.0))
    )


def test_clipping_counts_with_the_far_end_of_its_range() -> None:
    """1000 kWh of one controller, of which quick clouds leave 930, and 400 of one that never clips: 5 %."""
    own = (
        ControllerYield("C1", 1_100_000.0, 1_000_000.0, 930_000.0),
        ControllerYield("C2", 400_000.0, 400_000.0, 400_000.0),
        ControllerYield("C3", 900_000.0, 900_000.0),  # not known
    )
    assert clipping_off_pct(own) == pytest.approx(5.0)
    assert clipping_off_pct(own[2:]) == 0.0
    level = harvest_off_pct(12.0)
    off = harvest_off_pct(12.0, clipping_pct=5.0)
    assert off.year_pct == pytest.approx(together_pct((level.year_pct, 5.0)))
    assert off.month_pct == pytest.approx(together_pct((level.month_pct, 5.0)))


def test_every_part_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    before = harvest_off_pct(15.0, 8.0, sloped=True)
    for name in ("SOILING", "CELL", "PANEL", "MISMATCH", "COPPER", "SLOPE", "SHADE"):
        (constant,) = [key for key in vars(uncertainty) if key.startswith(f"{name}_OFF_")]
        with monkeypatch.context() as patch:
            patch.setattr(uncertainty, constant, 2.0 * getattr(uncertainty, constant))
            assert harvest_off_pct(15.0, 8.0, sloped=True).year_pct > before.year_pct, constant


def test_the_classes_of_places() -> None:
    def off(latitude_deg: float, **known: bool) -> float:
        known = {"near_city": False, "mountains": False, "away": False} | known
        return packaged_sun_off_pct(latitude_deg, **known)

    assert off(48.0, near_city=True) < off(48.0) < off(48.0, mountains=True)
    assert off(48.0, near_city=True, mountains=True) == off(48.0, mountains=True)
    assert off(3.0, near_city=True) == off(48.0, near_city=True)
    assert off(48.0) < off(3.0) == off(-3.0) < off(3.0, mountains=True) <= off(3.0, away=True)


def test_in_words() -> None:
    energy = Energy((), (), (), (), 1000.0, 12.0, "", 13.4, 22.6)
    assert within_words(energy) == "within 13 % at nine places in ten, a single month within 23 %"
    assert within_words(replace(energy, month_uncertainty_pct=None)) == "within 13 % at nine places in ten"
    assert within_words(replace(energy, harvest_uncertainty_pct=None)) == ""
