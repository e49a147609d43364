"""What the wiring costs: the changes that are asked, and what the note says of them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rooflayout.job import (
    Battery,
    ControllerModel,
    Controllers,
    Facet,
    Job,
    PanelModel,
    PanelRules,
    WiringRules,
)
from rooflayout.planner import plan_job
from rooflayout.wiring.freeing import Change, _a, changes_of, cost_notes
from rooflayout.wiring.options import supply_of
from rooflayout.wiring.temperatures import design_temperatures

# invented
LOW = PanelModel("Low", 1000, 500, 100, voc_v=22, vmp_v=18.5, isc_a=5.8, imp_a=5.4)
HIGH = PanelModel("High", 1000, 500, 120, voc_v=80, vmp_v=66, isc_a=1.9, imp_a=1.8)
SMALL = ControllerModel("Small", 75, 10, 20, (12.0,), start_above_battery_v=1)


def job_of(*models: PanelModel, fitted: tuple[ControllerModel, ...] = (SMALL,), long_mm: int = 2000) -> Job:
    outline = ((0.0, 0.0), (float(long_mm), 0.0), (float(long_mm), 500.0), (0.0, 500.0))
    return Job(
        "t",
        (Facet("main", outline),),
        PanelRules(models),
        battery=Battery(12, 14.4),
        controllers=Controllers(fitted, fitted),
    )


def words(job: Job) -> list[str]:
    temperatures = design_temperatures(job.site)
    return [c.words for c in changes_of(job, temperatures, supply_of(job, temperatures))]


def notes(job: Job) -> list[str]:
    return [n.text for n in plan_job(job).notes if n.code == "wiring-costs"]


def test_a_higher_input_rating_frees_the_better_panel() -> None:
    """Two of 120 W fit but reach 80 * 1.18 = 94.4 V at -20 °C; 75 V inputs leave two of 100 W."""
    (text,) = notes(job_of(LOW, HIGH))
    assert "need not be wired would have at least 40 W more" in text
    assert "with a Small with inputs for 100 V instead of 75 V at least 40 W more" in text


def test_one_controller_more_frees_the_third_panel() -> None:
    """Each input takes one string of 22 V * 1.18 * n <= 75 V: n = 2, and 1.25 * 5.8 A once within 10 A."""
    job = job_of(replace(LOW, voc_v=30), long_mm=4000)
    (text,) = notes(job)
    assert "need not be wired would have at least 200 W more" in text
    assert "with one more Small at least 200 W more" in text
    assert notes(job_of(replace(LOW, voc_v=30), fitted=(SMALL, SMALL), long_mm=4000)) == []


def test_nothing_is_said_where_wiring_costs_nothing() -> None:
    assert notes(job_of(LOW)) == []


def test_the_installers_cap_comes_first() -> None:
    job = replace(job_of(LOW, long_mm=3000), wiring_rules=WiringRules(most_string_v=30))
    first = words(job)[0]
    assert first == "most_string_v of 52 V instead of 30 V"  # 2 * 22 V * 1.18 = 51.9 V


def test_more_current_is_asked_to_the_next_string() -> None:
    assert "a Small with inputs for 15 A short-circuit instead of 10 A" in words(job_of(LOW))  # 2 * 7.25 A


def chosen(job: Job) -> Job:
    assert job.controllers is not None
    return replace(job, controllers=replace(job.controllers, fitted=(), choose=True))


def test_where_they_are_chosen_the_catalogue_is_asked_about_but_no_more_of_a_kind() -> None:
    job = chosen(job_of(LOW))
    assert "a Small with inputs for 15 A short-circuit instead of 10 A" in words(job)
    assert not any("one more" in w for w in words(job))


def test_where_they_are_chosen_it_is_told_what_would_carry_the_better_panel() -> None:
    (text,) = notes(chosen(job_of(LOW, HIGH)))
    assert "need not be wired would have at least 40 W more" in text
    assert "with a Small with inputs for 100 V instead of 75 V at least 40 W more" in text


@pytest.mark.parametrize(
    ("costs", "freed", "end"), [(0.0, (5.0,), None), (10.0, (0.0,), "to free any of them.")]
)
def test_notes_by_hand(costs: float, freed: tuple[float, ...], end: str | None) -> None:
    temperatures = design_temperatures(None)
    change = Change("one more Small", supply_of(job_of(LOW), temperatures))
    found = cost_notes(costs, [change], freed)
    assert [n.text.endswith(end or "") for n in found] == ([] if end is None else [True])


def test_an_before_a_vowel() -> None:
    names = ("Iris 35", "alder 80", "Small", "")
    assert [_a(name) for name in names] == ["an Iris 35", "an alder 80", "a Small", "a "]
