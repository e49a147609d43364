"""The [bench] table: sun and cell temperature for which meter readings are worked out."""

from __future__ import annotations

from rooflayout.job import Bench
from rooflayout.survey.spans import Span
from rooflayout.survey.table import Table, table

LEAST_SUN_W_M2, MOST_SUN_W_M2 = 100.0, 1400.0  # less is no light to measure in; more never falls on earth
IRRADIANCE = Span(
    f"W/m² from {LEAST_SUN_W_M2:g} to {MOST_SUN_W_M2:g}",
    LEAST_SUN_W_M2,
    MOST_SUN_W_M2,
    hint="In W/m²: 0.8 kW/m² is 800.",
)
CELL = Span("°C from -40 to 100", -40.0, 100.0, hint="°F typed for °C?")


def read_bench(top: Table) -> Bench:
    """Reads and checks [bench]; what is left out stays None, and usual values are assumed."""
    bench = table(top, "bench")
    if bench is None:
        return Bench()
    bench.check_keys("bench")
    return Bench(bench.number("irradiance", IRRADIANCE), bench.number("cell", CELL))
