"""What is added, weighed by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from vehicle_jobs import BLANK, MAIN, REED, TEAL, TRAILER, panel, run, trailer, wiring

from rooflayout.job import Facet
from rooflayout.needs import Mounts
from rooflayout.vehicle.masses import INSULATED, added_masses, awg_mm2, cable_kg

# NEC chapter 9 table 8, mm² by AWG, from memory.
TABLE_8 = [
    ("18", 0.823),
    ("14", 2.08),
    ("10", 5.261),
    ("6", 13.30),
    ("2", 33.62),
    ("1/0", 53.49),
    ("4/0", 107.2),
]


@pytest.mark.parametrize(("awg", "mm2"), TABLE_8)
def test_copper_of_american_sizes(awg: str, mm2: float) -> None:
    assert awg_mm2(awg) == pytest.approx(mm2, rel=2e-3)


@pytest.mark.parametrize("awg", ["", "x", "/0"])
def test_what_is_no_american_size(awg: str) -> None:
    with pytest.raises(ValueError, match="invalid literal"):
        awg_mm2(awg)


def test_copper_weighs_what_the_standard_says() -> None:
    """8.89 g/cm³ (IEC 60028, from memory): 500 m of one conductor of 4 mm² are 2000 cm³, so 17.78 kg."""
    one_way = run("R1", "string", "S1", "C1 tracker 1", 250_000.0, 4.0)
    assert cable_kg(one_way) == pytest.approx(17.78 * INSULATED)


def test_a_cable_that_comes_in_american_sizes_only() -> None:
    """No metric size: the copper of AWG 4/0; neither: nobody knows."""
    none = run("R1", "battery", "C1", "battery", 1000.0, None)
    metric = cable_kg(replace(none, size_mm2=awg_mm2("4/0")))
    assert cable_kg(replace(none, size_awg="4/0")) == metric
    assert cable_kg(none) is None


def test_items_and_their_centres() -> None:
    """Two panels with mounts; a cable of 2 x 8 m of 4 mm² halfway to the controllers, one to the battery."""
    job = trailer(mounts=Mounts(1.5))
    panels = (panel("P1", 0.0, 0.0), panel("P2", 2000.0, 0.0))
    runs = (
        run("R1", "string", "S1", "C1 tracker 1", 8000.0, 4.0),
        run("R2", "battery", "C1", "battery", 1000.0, 10.0),
    )
    added = added_masses(job, panels, wiring(("P1", "P2"), *runs))
    kg = {i.item: i.kg for i in added.items}
    assert kg == pytest.approx(
        {
            "2 x Teal 120": 12.0,
            "2 x mounts": 3.0,
            "cables from the panels": 2 * 8000 * 4 * 8.89e-6 * INSULATED,
            "cables to the battery": 2 * 1000 * 10 * 8.89e-6 * INSULATED,
            "C1 Reed 20": 2.0,
        }
    )
    at = {i.item: (i.x_mm, i.y_mm) for i in added.items}
    assert at["2 x Teal 120"] == at["2 x mounts"] == pytest.approx((1500.0, 250.0))
    assert at["cables from the panels"] == pytest.approx((1500.0, 875.0))
    assert at["cables to the battery"] == at["C1 Reed 20"] == (1500.0, 1500.0)
    assert added.unknown == ()
    assert added.kg == pytest.approx(sum(kg.values()))


def test_an_array_cable_comes_from_all_panels_of_its_tracker() -> None:
    joined = run("R1", "array", "C1 tracker 1 joint", "C1 tracker 1", 8000.0, 4.0)
    panels = (panel("P1", 0.0, 0.0), panel("P2", 2000.0, 0.0))
    (cables,) = (
        i
        for i in added_masses(trailer(), panels, wiring(("P1", "P2"), joined)).items
        if i.item == "cables from the panels"
    )
    assert (cables.x_mm, cables.y_mm) == pytest.approx((1500.0, 875.0))


def test_without_a_place_for_controllers_only_the_panels_have_one() -> None:
    job = trailer(replace(TRAILER, controllers_at_mm=None))
    string = run("R1", "string", "S1", "C1 tracker 1", 8000.0, 4.0)
    items = added_masses(job, (panel("P1", 0.0, 0.0),), wiring(("P1",), string)).items
    assert {i.item: i.x_mm for i in items} == {
        "1 x Teal 120": 500.0,
        "cables from the panels": None,
        "C1 Reed 20": None,
    }


def test_kept_panels_are_there_already() -> None:
    added = added_masses(trailer(mounts=Mounts(1.5)), (panel("K1", 0.0, 0.0, kept=True),), None)
    assert added.items == ()
    assert added.unknown == ()


def test_fitted_controllers_are_there_already_unless_the_job_says_otherwise() -> None:
    def kg(**changes: bool) -> float:
        job = trailer()
        assert job.controllers is not None
        job = replace(job, controllers=replace(job.controllers, **changes))
        return added_masses(job, (panel("P1", 0.0, 0.0),), wiring(("P1",))).kg

    assert kg(on_board=True) == TEAL.mass_kg
    assert kg(on_board=False) == kg(on_board=True, choose=True) == 8.0  # and REED's 2 kg


def test_blank_masses_are_named_and_never_guessed() -> None:
    job = trailer()
    light = replace(REED, mass_kg=None)
    assert job.controllers is not None
    job = replace(job, controllers=replace(job.controllers, catalogue=(light,), fitted=(light,)))
    no_size = run("R1", "string", "S1", "C1 tracker 1", 8000.0, None)
    panels = (panel("P1", 0.0, 0.0, BLANK), panel("P2", 0.0, 600.0, BLANK), panel("P3", 2000.0, 0.0))
    added = added_masses(job, panels, wiring(("P1", "P2"), no_size))
    assert added.unknown == ("Blank 90", "cable R1", "C1 Reed 20")
    assert [(i.item, i.kg) for i in added.items] == [("1 x Teal 120", 6.0)]


def test_a_panel_on_a_slope_counts_where_it_lies_seen_from_above() -> None:
    """60 degrees halve the level length: 500 along the slope are 250 ahead of the front edge."""
    slope = Facet("hood", ((0.0, 0.0), (1000.0, 0.0), (1000.0, 2000.0), (0.0, 2000.0)), 60.0, "+x")
    panels = (panel("P1", 0.0, 0.0, facet="hood"), panel("P2", 0.0, 0.0))
    items = {i.item: i for i in added_masses(trailer(TRAILER, MAIN, slope), panels, None).items}
    assert items["1 x Teal 120 on hood"].x_mm == pytest.approx(4250.0)
    assert items["1 x Teal 120 on hood"].y_mm == pytest.approx(250.0)
    assert items["1 x Teal 120 on main"].x_mm == pytest.approx(500.0)


def test_a_facet_whose_place_is_not_known_keeps_its_mass() -> None:
    lost = Facet("deck", MAIN.outline_mm)
    items = added_masses(trailer(TRAILER, MAIN, lost), (panel("P1", 0.0, 0.0, facet="deck"),), None).items
    assert [(i.item, i.kg, i.x_mm) for i in items] == [("1 x Teal 120 on deck", TEAL.mass_kg, None)]
