"""What is likely wrong too is told beside the problems, so that one run tells all."""

from __future__ import annotations

from pathlib import Path

import pytest

from rooflayout.job import Battery, ControllerModel, PanelModel
from rooflayout.survey.idle_controllers import may_take
from rooflayout.survey.problems import ProblemsFound
from rooflayout.survey.read import read_job

MISSPELT = ("between_panels = 20", "between_panel = 20")
ONLY_48 = "Sluice 48,1,150,60,60,48,5,98,250,190,95,3,390\n"
TINY = "Sluice tiny,1,24,2,5,12 24,4,95,100,90,40,0.3,30\n"


def warnings(job: Path, *edits: tuple[str, str], rows: str = "") -> list[str]:
    text = job.read_text()
    for old, new in edits:
        assert old in text
        text = text.replace(old, new)
    job.write_text(text)
    catalogue = job.parent / "catalogue" / "controllers.csv"
    catalogue.write_text(catalogue.read_text() + rows)
    with pytest.raises(ProblemsFound) as caught:
        read_job(job)
    assert len(caught.value.problems) == (2 if "36" in str(edits) else 1)
    return [note.text for note in caught.value.warnings]


def fitted(second: str) -> tuple[str, str]:
    return '"Weir 100-30", "Weir 100-30"', f'"Weir 100-30", "{second}"'


def test_an_obstacle_past_the_outline_is_told_beside_a_misspelt_key(good: Path) -> None:
    edits = MISSPELT, ("at = [600, 880]", "at = [4400, 880]")
    assert warnings(good, *edits) == [
        'obstacle "bed hatch" (trailer.toml:34) reaches past the outline of facet "main".'
    ]


def test_where_all_is_well_but_the_key_nothing_else_is_told(good: Path) -> None:
    assert warnings(good, MISSPELT) == []


def test_a_fitted_controller_for_another_battery(good: Path) -> None:
    assert warnings(good, MISSPELT, fitted("Sluice 48"), rows=ONLY_48) == [
        '[controllers] fitted: "Sluice 48" would carry nothing: it serves batteries of 48 V, not of 12 V.'
    ]


def test_a_fitted_controller_that_no_panel_may_go_on(good: Path) -> None:
    # Heron 110 has 24.1 V, Heron 210 has 25 V open circuit.
    why = "no panel to use keeps to its 24 V and 2 A at most"
    told = f'[controllers] fitted: "Sluice tiny" would carry nothing: {why}'
    edits = MISSPELT, fitted("Sluice tiny")
    assert warnings(good, *edits, rows=TINY) == [f"{told} and still charges the battery."]


def test_with_a_battery_that_none_serves_only_what_no_battery_would_mend(good: Path) -> None:
    edits = MISSPELT, ("nominal = 12", "nominal = 36"), ("charge = 14.4", "charge = 43.2")
    told = warnings(good, *edits, fitted("Sluice tiny"), rows=TINY)
    assert [text for text in told if "carry nothing" in text] == [
        '[controllers] fitted: "Sluice tiny" would carry nothing: no panel to use keeps to its 24 V and 2 A '
        "at most."
    ]


@pytest.mark.parametrize(
    ("volts", "amps", "start", "takes"),
    [
        (48.2, 7.6, 5.0, True),  # two of 24.1 V; 1.25 x 6.05 A = 7.57 A
        (48.1, 7.6, 5.0, False),  # one alone keeps 20.2 V, 28.8 + 5 V are needed
        (48.2, 7.5, 5.0, False),
        (48.2, 7.6, 11.6, True),  # two keep 40.4 V
        (48.2, 7.6, 11.7, False),
    ],
)
def test_limits_by_hand(volts: float, amps: float, start: float, takes: bool) -> None:
    """Two Heron 110 in series for a battery charged at 28.8 V."""
    heron = PanelModel("Heron 110", 1120, 530, 115, voc_v=24.1, vmp_v=20.2, isc_a=6.05, imp_a=5.69)
    box = ControllerModel("box", volts, amps, 30, (24.0,), start_above_battery_v=start)
    assert may_take(box, heron, Battery(24.0, 28.8)) is takes


def test_a_panel_whose_figures_are_blank_may_go_on_any() -> None:
    box = ControllerModel("box", 10, 1, 30, (24.0,))
    assert may_take(box, PanelModel("blank", 1120, 530, 115), Battery(24.0, 28.8))
