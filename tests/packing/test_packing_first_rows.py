"""The best layout in rows that the rules allow."""

from __future__ import annotations

import pytest
from small_random_jobs import clock_of
from test_packing_scarce_rows import random_job, rules_for

from rooflayout.packing import first_rows
from rooflayout.packing.bands import row_layouts
from rooflayout.packing.first_rows import rows_first
from rooflayout.packing.incumbent import Incumbent, watts_of
from rooflayout.packing.scarce_rows import scarce_row_layouts


@pytest.mark.parametrize("seed", range(4))
def test_no_worse_than_rows_that_count_stock_down(seed: int) -> None:
    fields, rules = rules_for(random_job(seed))
    incumbent = Incumbent(clock_of(), rules.grain(), 0, 0, 1 << 40)
    rows_first(fields, rules, incumbent)
    assert incumbent.places is not None
    assert rules.plainly_kept([kind for kind, _, _ in incumbent.places])
    assert incumbent.watts == watts_of(rules.kinds, incumbent.places)
    assert incumbent.watts >= max(
        watts_of(rules.kinds, layout) for layout in scarce_row_layouts(fields, rules)
    )


@pytest.mark.parametrize("seed", [0, 2, 3])
def test_of_rows_that_break_a_rule_the_best_part(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """More panels than there are in stock, and no rows that count it down."""
    fields, rules = rules_for(random_job(seed))
    monkeypatch.setattr(first_rows, "scarce_row_layouts", lambda fields, rules: [])
    broken = [[kind for kind, _, _ in layout] for layout in row_layouts(fields, rules.kinds)]
    assert not any(rules.plainly_kept(kinds) for kinds in broken)
    incumbent = Incumbent(clock_of(), rules.grain(), 0, 0, 1 << 40)
    rows_first(fields, rules, incumbent)
    assert incumbent.places
    assert rules.plainly_kept([kind for kind, _, _ in incumbent.places])
