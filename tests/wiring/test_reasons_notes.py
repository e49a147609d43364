"""Notes on a wiring: fuses, clipping, many controllers, kept panels left off."""

from __future__ import annotations

from dataclasses import replace

from wired_roofs import (
    ASH,
    DUCK,
    ELM,
    FIR,
    FRONT,
    GOOSE,
    HERON,
    MAIN,
    a_job,
    a_roof,
    controller,
    temperatures,
)

from rooflayout.job import Controllers, Facet, Job, MountingSpace, PanelModel, PanelRules, WiringRules
from rooflayout.plan import Note
from rooflayout.wiring.notes import wiring_notes
from rooflayout.wiring.wire import wire


def notes_of(job: Job, *parts: tuple[PanelModel, int, Facet]) -> tuple[Note, ...]:
    job, panels = a_roof(job, *parts)
    named, wiring = wire(job, temperatures(job), panels)
    return wiring_notes(job, wiring, named)


def said(
    job: Job, *parts: tuple[PanelModel, int, Facet] | tuple[PanelModel, int, Facet, int]
) -> dict[str, str]:
    """code: text of the notes."""
    job, panels = a_roof(job, *parts)
    named, wiring = wire(job, temperatures(job), panels)
    return {note.code: note.text for note in wiring_notes(job, wiring, named)}


def test_nothing_to_mind() -> None:
    assert said(a_job(FIR), (GOOSE, 4, MAIN)) == {}


def test_clipping_above_the_jobs_per_cent_is_told() -> None:
    """Elm 20 uses 296.9 W of 400 W."""
    assert said(a_job(ELM), (GOOSE, 2, MAIN)) == {
        "clipped": "C1 (Elm 20) cuts off 103 W of its 400 W in full sun, 25.8 %."
    }
    assert said(a_job(ELM), (HERON, 2, MAIN)) == {}  # 1.0 %


def test_a_cap_that_no_set_keeps_is_told() -> None:
    job = replace(a_job(), controllers=Controllers((ASH,), (), True))
    notes = said(job, (DUCK, 2, MAIN))
    assert notes["clipped"].endswith("25.8 %: no set of 12 controllers or fewer keeps to 10 %.")


def test_many_controllers_are_told() -> None:
    lone = controller("Lone", 50, 6, 20, price=50.0)
    job = replace(a_job(), controllers=Controllers((lone,), (), True))
    assert "many-controllers" not in said(job, (HERON, 12, MAIN))
    assert said(job, (HERON, 13, MAIN))["many-controllers"].startswith("13 controllers")


def test_a_kept_panel_left_off_is_named_with_the_reason() -> None:
    notes = said(a_job(FIR), (DUCK, 4, MAIN), (GOOSE, 1, MAIN, 1))
    assert notes["kept-unwired"] == (
        "K1 (Goose 200 on main) is kept but on no string. "
        "Goose 200 on Fir 60 needs at least 2 in series on one facet; there is 1."
    )
    notes = said(
        a_job(FIR, wiring_rules=WiringRules(most_mismatch_pct=0.5)), (DUCK, 4, MAIN), (GOOSE, 2, MAIN, 2)
    )
    assert notes["kept-unwired"] == (
        "K1, K2 (Goose 200 on main) are kept but on no string. "
        "The other panels leave no tracker that takes it."
    )


def test_without_the_panels_those_left_off_are_only_named() -> None:
    job, panels = a_roof(a_job(FIR), (DUCK, 4, MAIN), (GOOSE, 1, MAIN, 1))
    _, wiring = wire(job, temperatures(job), panels)
    assert [n.text for n in wiring_notes(job, wiring)] == ["K1: kept but on no string."]


def test_a_fitted_controller_that_cannot_serve_the_battery_is_named() -> None:
    only_12 = replace(ELM, battery_v=(12.0,))
    job = a_job(FIR, only_12)
    assert job.battery is not None
    job = replace(job, battery=replace(job.battery, nominal_v=24.0, charge_v=28.8))
    notes = said(job, (GOOSE, 4, MAIN))
    assert notes["controller-idle"] == (
        "C2 (Elm 20) carries nothing: it serves batteries of 12 V, not of 24 V."
    )


def test_a_fitted_controller_that_takes_no_panel_says_which_limit_is_missed() -> None:
    """At -5 °C one Duck 100 of 23 V passes 24 V; Duck 100's 1.25 x 5.5 A = 6.875 A pass 6 A."""
    tiny = replace(ELM, model="Tiny 5", max_pv_v=24.0)
    notes = {n.code: n for n in notes_of(a_job(FIR, tiny), (GOOSE, 4, MAIN))}
    assert notes["controller-idle"].severity == "warning"
    assert notes["controller-idle"].text.startswith(
        "C2 (Tiny 5) carries nothing: no panel of the job can be wired to it. One Duck 100 on Tiny 5 reaches "
    )
    small = replace(ELM, model="Small 6", max_pv_isc_a=6.0)
    assert said(replace(a_job(FIR, small), panels=PanelRules((DUCK,))), (DUCK, 4, MAIN))[
        "controller-idle"
    ] == (
        "C2 (Small 6) carries nothing: no panel of the job can be wired to it. Duck 100 counts as 6.9 A "
        "short-circuit (1.25 times 5.5 A), 0.9 A above the 6 A that Small 6 takes."
    )


def test_a_fitted_controller_for_which_nothing_is_left_is_only_a_caution() -> None:
    notes = {n.code: n for n in notes_of(a_job(FIR, ELM), (GOOSE, 4, MAIN))}
    assert notes["controller-idle"].severity == "caution"
    assert "no string left" in notes["controller-idle"].text


def test_a_battery_that_takes_less_than_the_controllers_give() -> None:
    """Fir 60 for 800 W (53.9 A) and Elm 20 for 200 W (13.5 A), together up to 80 A."""
    parts = (GOOSE, 4, MAIN), (DUCK, 2, FRONT)
    job = a_job(FIR, ELM)
    assert "battery-charge-limit" not in said(with_most(job, 80.0), *parts)
    assert said(with_most(job, 75.0), *parts)["battery-charge-limit"] == (
        "The controllers together could charge with 80 A, the battery takes 75 A at most. "
        "Set the charge current down: C1 (Fir 60) to 57.5 A, C2 (Elm 20) to 17.4 A."
    )
    notes = said(with_most(job, 40.0), *parts)
    assert notes["battery-charge-limit"].endswith(
        "C1 (Fir 60) to 32.0 A, C2 (Elm 20) to 8.0 A; that cuts off 406 W of 1000 W in full sun, 41 %."
    )
    assert "clipped" not in notes  # it is the battery that cuts off, not a controller that is too small


def test_a_cap_that_the_battery_does_not_let_be_kept_is_named() -> None:
    """800 W give 53.9 A with 97 %; a battery of 20 A uses 296.9 W of them, so 503 W are cut off."""
    job = replace(a_job(), controllers=Controllers((FIR,), (), True))
    text = said(with_most(job, 20.0), (GOOSE, 4, MAIN))["battery-charge-limit"]
    assert text.endswith(
        "that cuts off 503 W of 800 W in full sun, 63 %. [controllers] most_clipped_pct = 10 is not kept: no "
        "controller can keep it, as the battery takes only 20 A from the roof. Raise [battery] most_charge "
        "if the battery's maker allows it, or fit fewer watts (use, budget, stock)."
    )
    text = said(with_most(job, 50.0), (GOOSE, 4, MAIN))["battery-charge-limit"]
    assert text.endswith("in full sun, 7 %.")  # within the 10 %


def test_what_a_chosen_controller_cuts_off_because_of_the_battery_is_told_so() -> None:
    """400 W; an Elm 20 uses 296.9 W of them at 20 A, which is all that the battery takes."""
    job = replace(a_job(), controllers=Controllers((FIR, ELM), (), True))
    notes = said(with_most(job, 20.0), (GOOSE, 2, MAIN))
    assert notes["clipped"] == (
        "C1 (Elm 20) cuts off 103 W of its 400 W in full sun, 25.8 %: more charge current would be worth "
        "nothing, as the battery takes only 20 A from the roof."
    )
    assert "battery-charge-limit" not in notes


def with_most(job: Job, most_charge_a: float) -> Job:
    assert job.battery is not None
    return replace(job, battery=replace(job.battery, most_charge_a=most_charge_a))


def test_what_the_mounting_space_lacks() -> None:
    sized = replace(ELM, length_mm=100.0, width_mm=100.0, height_mm=70.0)
    roomy = replace(a_job(sized, sized), mounting_space=MountingSpace(260, 140, 70, 20))
    assert "mounting-space" not in said(roomy, (DUCK, 2, MAIN))
    narrow = replace(roomy, mounting_space=MountingSpace(200, 140, 70, 20))
    assert said(narrow, (DUCK, 2, MAIN))["mounting-space"] == (
        "C1, C2 did not fit the mounting space (200 x 140 x 70 mm, 20 mm round each box): "
        "it lacks 60 mm more width or 120 mm more height."
    )
    flat = replace(roomy, mounting_space=MountingSpace(260, 140, 62.5, 20))
    assert said(flat, (DUCK, 2, MAIN))["mounting-space"].endswith("it lacks 8 mm more depth.")
    tiny = replace(roomy, mounting_space=MountingSpace(100, 100, 60, 20))
    assert said(tiny, (DUCK, 2, MAIN))["mounting-space"].endswith(
        "it lacks 40 mm more width and 160 mm more height, and 10 mm more depth."
    )
    blank = replace(roomy, controllers=Controllers((), (sized, replace(ELM, model="Bare 20"))))
    assert said(blank, (DUCK, 2, MAIN))["mounting-space"] == (
        "Whether the controllers hang in the mounting space was not checked: "
        "Bare 20 has no length, width or height in the catalogue."
    )


def test_no_set_of_the_catalogue_fits() -> None:
    sized = replace(FIR, length_mm=300.0, width_mm=200.0, height_mm=70.0)
    job = replace(a_job(), controllers=Controllers((sized,), (), True))
    notes = said(replace(job, mounting_space=MountingSpace(280, 260, 90)), (GOOSE, 4, MAIN))
    assert notes["mounting-space"].endswith(
        "it lacks 20 mm more width. No set of the catalogue for these watts was found that fits. "
        "Not even one box of it does: are width, height and depth right?"
    )
    bare = replace(FIR, model="Bare 60", price=9e9)  # its box is not known: it may fit
    job = replace(job, controllers=Controllers((sized, bare), (), True))
    notes = said(replace(job, mounting_space=MountingSpace(280, 260, 90)), (GOOSE, 4, MAIN))
    assert "Not even one box" not in notes["mounting-space"]
