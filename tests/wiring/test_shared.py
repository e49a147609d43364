"""Why unlike strings on one tracker have so many in series: the clauses, by cases worked out by hand.

Voltages: 0.84 Voc (wired_roofs.panel): Goose 20.41 V, Duck 19.32 V. Losses against mismatch.worst_loss.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from wired_roofs import DUCK, FRONT, GOOSE, MAIN, SWAN, a_job, a_roof, temperatures

from rooflayout.job import Cable, ControllerModel, Facet, Job, PanelModel, WiringRules
from rooflayout.wiring.because import because
from rooflayout.wiring.mismatch import StringPart, worst_loss
from rooflayout.wiring.shared import Shares, why_these_in_series
from rooflayout.wiring.wire import wire

BOX = ControllerModel("Box", max_pv_v=100, max_pv_isc_a=40, max_charge_a=30, battery_v=(12,))
NOSE = replace(FRONT, downhill="+x")
WORDS = ("no", "one", "two", "three", "four")


def a_job_with(box: ControllerModel = BOX, most_pct: float = 5.0, **changes: object) -> Job:
    return replace(
        a_job(box, facets=(MAIN, NOSE), wiring_rules=WiringRules(most_mismatch_pct=most_pct)),
        **changes,  # type: ignore[arg-type]
    )


def told(job: Job, one: tuple[Facet, PanelModel, int, int], other: tuple[Facet, PanelModel, int, int]) -> str:
    assert job.controllers is not None
    pair = tuple(Shares(f.name, m, n, k) for f, m, n, k in (one, other))
    (box,) = job.controllers.fitted
    return why_these_in_series(job, temperatures(job), box, (pair[0], pair[1]), WORDS)


def lost(job: Job, *parts: tuple[Facet, PanelModel, int, int]) -> float:
    own = [StringPart(m, n, k) for _, m, n, k in parts]
    return worst_loss(own, [f for f, _, _, _ in parts], temperatures(job))[0]


def test_the_whole_sentence_of_a_wiring() -> None:
    """Four Goose and four Duck in pairs; every other way is out of limits or loses more."""
    job, panels = a_roof(a_job_with(), (GOOSE, 4, MAIN), (DUCK, 4, NOSE, 4))
    _, wiring = wire(job, temperatures(job), panels)
    own = lost(job, (MAIN, GOOSE, 2, 2), (NOSE, DUCK, 2, 2))
    other = lost(job, (MAIN, GOOSE, 2, 2), (NOSE, DUCK, 4, 1))
    assert because(job, wiring) == (
        (
            "C1",
            "Two in series, two in parallel (Goose 200 on main) beside two in series, two in parallel "
            "(Duck 100 on front slope): more sorts of panels than trackers; at 40.8 V and 38.6 V (STC) they "
            f"lose {own:.2f} % together at most; two in series beside four in series would lose "
            f"{other:.2f} %, above the 5 % that the job allows.",
        ),
    )


def test_panels_that_cannot_be_divided() -> None:
    text = told(a_job_with(), (MAIN, GOOSE, 1, 1), (NOSE, GOOSE, 1, 1))
    assert text.startswith("at 20.4 V and 20.4 V (STC) they lose ")
    assert text.endswith("; these panels cannot be divided otherwise")


def test_other_ways_outside_the_limits_of_the_input() -> None:
    """Two Goose in series are 52.4 V in the cold: an input for 50 V takes them only side by side."""
    low = a_job_with(replace(BOX, max_pv_v=50.0))
    text = told(low, (MAIN, GOOSE, 1, 2), (NOSE, GOOSE, 1, 1))
    assert text.endswith("; in other strings these panels would be outside the limits of the input")


def test_a_way_that_loses_more_though_the_job_would_allow_it() -> None:
    job = a_job_with(most_pct=60.0)
    text = told(job, (MAIN, GOOSE, 1, 2), (NOSE, GOOSE, 1, 1))
    worse = lost(job, (MAIN, GOOSE, 2, 1), (NOSE, GOOSE, 1, 1))
    assert text.endswith(f"; two in series beside one alone would lose {worse:.2f} %")


STOUT, TALL = (replace(p, max_series_fuse_a=60.0) for p in (DUCK, SWAN))  # four need no fuses
SHORT = Cable(roof_run_mm=500.0, gland_to_controller_mm=500.0)


@pytest.mark.parametrize(
    ("panel", "in_series", "in_parallel", "cable", "said"),
    [
        (
            DUCK,
            2,
            1,
            Cable(),
            "one alone beside one alone would lose more than the job allows even in 10 mm²",
        ),
        (DUCK, 2, 1, SHORT, "one alone beside one alone would need more string fuses"),
        (
            STOUT,
            2,
            1,
            SHORT,
            "one alone beside one alone would bring more current, so more loss in the cable",
        ),
        (TALL, 1, 2, SHORT, "two in series beside two in series would be more strings above 60 V DC"),
    ],
)
def test_where_both_lose_alike_the_strain_is_told(
    panel: PanelModel, in_series: int, in_parallel: int, cable: Cable, said: str
) -> None:
    """Two Ducks side by side on each facet: 4 x 5.2 A over 8 m, 2.7 % of 19.3 V in 10 mm² at 20 °C, more
    when warm. Two Swans in series: 80.6 V in the cold.
    """
    job = a_job_with(replace(BOX, max_pv_isc_a=80.0), cable=cable)
    text = told(job, (MAIN, panel, in_series, in_parallel), (MAIN, panel, in_series, in_parallel))
    assert f"; {said}" in text


def test_a_worse_wiring_as_built_is_not_praised() -> None:
    """Two in series beside one alone, where one beside one would lose less: only what it is."""
    job = a_job_with(most_pct=60.0)
    text = told(job, (MAIN, GOOSE, 2, 1), (NOSE, GOOSE, 1, 1))
    assert ";" not in text
