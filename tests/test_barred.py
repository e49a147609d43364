"""Where stock, mass or budget alone allow no panel, that is said, not that the roof is too small."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rooflayout.barred import barred_by_limits
from rooflayout.job import (
    Battery,
    ControllerModel,
    Controllers,
    Facet,
    Job,
    KeptPanel,
    PanelModel,
    PanelRules,
)
from rooflayout.planner import plan_job

REED = PanelModel(
    "Reed 100", 1000, 500, 100.0, mass_kg=7.5, voc_v=24.0, vmp_v=20.0, isc_a=5.3, imp_a=5.0, price=80
)
SEDGE = replace(REED, model="Sedge 60", power_w=60.0, mass_kg=4.0, price=60.0)
FACET = Facet("main", ((0.0, 0.0), (3300.0, 0.0), (3300.0, 1100.0), (0.0, 1100.0)))
RUSH = ControllerModel("Rush 20", 100.0, 20.0, 20.0, (12.0, 24.0), 1, 5.0, 97.0)


def told(rules: PanelRules, **more: object) -> list[str]:
    job = Job("x", (FACET,), rules, **more)  # type: ignore[arg-type]
    return [n.text for n in plan_job(job, time_limit_s=20).notes if n.code.startswith("nothing-fits")]


@pytest.mark.parametrize(
    ("rules", "text"),
    [
        (
            PanelRules((REED, SEDGE), most_mass_kg=3.0),
            "No panel may be fitted: 1 x Reed 100 weigh 7.5 kg, most_mass is 3 kg; "
            "1 x Sedge 60 weigh 4 kg, most_mass is 3 kg.",
        ),
        (
            PanelRules((replace(REED, stock=0), SEDGE), budget=50.0),
            "No panel may be fitted: of 1 x Reed 100 none is in stock; 1 x Sedge 60 cost 60, budget is 50.",
        ),
    ],
)
def test_a_limit_that_no_panel_keeps_is_named(rules: PanelRules, text: str) -> None:
    assert told(rules) == [text]


def test_strings_are_weighed_whole() -> None:
    # At 24 V two panels of 20 V are too few in the heat: 3 x 7.5 kg.
    wired = {"battery": Battery(24.0, 28.8), "controllers": Controllers((RUSH,), (RUSH,))}
    (text,) = told(PanelRules((REED,), most_mass_kg=20.0), **wired)
    assert text == (
        "No panel may be fitted (a string needs so many): 3 x Reed 100 weigh 22.5 kg, most_mass is 20 kg."
    )
    assert not told(PanelRules((REED,), most_mass_kg=22.5), **wired)


def test_kept_panels_count() -> None:
    (text,) = told(PanelRules((REED,), most_mass_kg=10.0), kept=(KeptPanel(SEDGE, "main", 0.0, 0.0),))
    assert "beside 4 kg of kept panels, most_mass is 10 kg" in text


def test_a_panel_that_the_limits_allow_leaves_the_roof_to_blame() -> None:
    job = Job("x", (FACET,), PanelRules((REED, SEDGE), most_mass_kg=5.0))
    assert barred_by_limits(job, None) is None
    small = replace(job, facets=(Facet("lip", ((0.0, 0.0), (900.0, 0.0), (900.0, 90.0), (0.0, 90.0))),))
    (note,) = (n for n in plan_job(small, time_limit_s=20).notes if n.code.startswith("nothing-fits"))
    assert note.code == "nothing-fits-space"
