"""Mass and balance on the energy set: tables, centre, sketch, and limits that are passed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rooflayout.documents.balance_sheet import bearings_table, facts_block, items_table, signed
from rooflayout.documents.energy_set import draw_energy
from rooflayout.documents.vehicle_sketch import centre_on_vehicle_mm, plan_sketch, supports_of
from rooflayout.yields import Balance, Bearing

from .energy_samples import WITH_ENERGY
from .opened_sheets import energy_sheets, opened, words_of


def test_bearings_say_before_change_after_and_limit() -> None:
    table = bearings_table(
        Balance(
            (), 25.0, None, None, None,
            (
                Bearing("coupling", 16.04, 78.0, 90.0),
                Bearing("axle", -3.0, None, 1500.0),
                Bearing("roof", 0.0),
            ),
        )
    )  # fmt: skip
    assert table is not None
    assert [row.cells for row in table.rows] == [
        ("coupling", "78.0", "+16.0", "94.0", "90", "104.5 %, over"),
        ("axle", "–", "−3.0", "–", "1500", "–"),
        ("roof", "–", "0.0", "–", "–", "–"),
    ]
    assert "Weigh it" in table.footnotes[-1]
    assert signed(-0.01) == "0.0"


def test_items_add_up_to_the_last_row() -> None:
    _, plan = WITH_ENERGY["trailer"]()
    assert plan.balance is not None
    table = items_table(plan.balance)
    assert table is not None
    *items, all_ = (row.cells for row in table.rows)
    assert sum(float(cells[1]) for cells in items) == pytest.approx(float(all_[1]), abs=0.05 * len(items))


def test_the_centre_is_said_from_axle_and_centre_line() -> None:
    job, plan = WITH_ENERGY["trailer"]()
    balance = plan.balance
    assert balance is not None
    assert balance.centre_x_mm is not None
    assert balance.centre_y_mm is not None
    block = facts_block(job, plan)
    assert block is not None
    ahead, right = balance.centre_x_mm - 1950.0, 1090.0 - balance.centre_y_mm
    words = block.paragraphs[0][1]
    assert words == (
        f"The centre of what is added lies {ahead:.0f} mm ahead of the axle and {right:.0f} mm to the right"
        " of the centre line."
    )


def test_a_facet_whose_front_is_minus_x_is_turned_for_the_sketch() -> None:
    job, plan = WITH_ENERGY["long_names"]()
    assert job.facets[0].front == "-x"
    assert plan.balance is not None
    assert plan.balance.centre_x_mm is not None
    centre = centre_on_vehicle_mm(job, plan)
    assert centre is not None
    assert centre[0] == pytest.approx(-plan.balance.centre_x_mm)
    assert [(s.name, s.ahead_mm) for s in supports_of(job)] == [("rear axle", -700.0), ("front axle", 2600.0)]


def test_a_house_has_a_sketch_without_wheels_and_centre_line() -> None:
    job, plan = WITH_ENERGY["three_controllers"]()
    assert job.vehicle is None
    assert plan_sketch(job, plan, 150.0, 80.0) is not None
    words = words_of(energy_sheets("three_controllers"))
    assert "From above, 1:" in words
    assert "centre line" not in words
    assert "What is added" in words
    assert plan_sketch(job, replace(plan, balance=None), 150.0, 80.0) is None


@pytest.mark.parametrize(("before_kg", "first"), [(500.0, "To mind"), (10.0, "What is added")])
def test_a_limit_that_is_passed_comes_before_the_other_words(before_kg: float, first: str) -> None:
    job, plan = WITH_ENERGY["trailer"]()
    assert plan.balance is not None
    coupling, *others = plan.balance.bearings
    laden = replace(coupling, before_kg=before_kg, most_kg=100.0)
    balance = replace(plan.balance, bearings=(laden, *others))
    lettering = opened(draw_energy, job, replace(plan, energy=None, balance=balance))[1][0]
    found = {t.text: (-t.x0, t.y1) for t in lettering if t.text in ("To mind", "What is added")}
    assert max(found, key=lambda text: found[text]) == first
    assert any(t.text == "Over limit" for t in lettering) is (first == "To mind")
