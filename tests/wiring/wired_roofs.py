"""Jobs and layouts for the wiring tests: panels far apart on two huge facets, all names invented."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import (
    Battery,
    ControllerModel,
    Controllers,
    Facet,
    Job,
    KeptPanel,
    PanelModel,
    PanelRules,
    Site,
)
from rooflayout.plan import Layout, PlacedPanel, Plan, Temperatures, Wiring
from rooflayout.wiring import limits
from rooflayout.wiring.temperatures import design_temperatures

SIDE_MM = 100_000.0
PITCH_MM = 2500.0
SQUARE = ((0.0, 0.0), (SIDE_MM, 0.0), (SIDE_MM, SIDE_MM), (0.0, SIDE_MM))
MAIN, FRONT = Facet("main", SQUARE), Facet("front slope", SQUARE, slope_deg=20.0)


def panel(model: str, power_w: float, voc_v: float, isc_a: float, **more: Any) -> PanelModel:
    """A silicon panel: operating point at 0.84 Voc and 0.947 Isc, usual coefficients."""
    plain = PanelModel(
        model=model,
        length_mm=1500,
        width_mm=700,
        power_w=power_w,
        voc_v=voc_v,
        vmp_v=0.84 * voc_v,
        isc_a=isc_a,
        imp_a=0.947 * isc_a,
        voc_pct_per_k=-0.26,
        isc_pct_per_k=0.045,
        power_pct_per_k=-0.33,
        max_series_fuse_a=20,
        max_system_v=1000,
    )
    return replace(plain, **more)


def controller(
    model: str, max_pv_v: float, max_pv_isc_a: float, max_charge_a: float, **more: Any
) -> ControllerModel:
    plain = ControllerModel(
        model, max_pv_v, max_pv_isc_a, max_charge_a, (12, 24), start_above_battery_v=4, efficiency_pct=97
    )
    return replace(plain, **more)


DUCK = panel("Duck 100", 100, 23.0, 5.5)
GOOSE = panel("Goose 200", 200, 24.3, 10.35)
HERON = panel("Heron 150", 150, 45.5, 4.17)
SWAN = panel("Swan 400", 400, 37.4, 13.4)
PANELS = (DUCK, GOOSE, HERON, SWAN)

ASH = controller("Ash 10", 75, 13, 10, price=69.0)
ELM = controller("Elm 20", 100, 25, 20, price=118.0)
OAK_TWIN = controller("Oak 30 twin", 100, 20, 30, trackers=2, price=205.0)
FIR = controller("Fir 60", 150, 65, 60, battery_v=(12, 24, 48), price=398.0)
YEW_48 = controller("Yew 80", 250, 45, 80, battery_v=(48,), price=655.0)
CATALOGUE = (ASH, ELM, OAK_TWIN, FIR, YEW_48)
SET = {12.0: 14.4, 24.0: 28.8, 48.0: 57.6}  # charge voltage of a nominal one


def a_job(*fitted: ControllerModel, nominal_v: float = 12.0, **changes: Any) -> Job:
    """A job with these controllers fitted, or with choose where none is given; -5 to 42 °C."""
    plain = Job(
        "test",
        (MAIN, FRONT),
        PanelRules(PANELS),
        site=Site(coldest_c=-5.0, hottest_c=42.0),
        battery=Battery(nominal_v, SET[nominal_v]),
        controllers=Controllers(CATALOGUE, fitted, choose=not fitted),
    )
    return replace(plain, **changes)


def a_roof(
    job: Job, *parts: tuple[PanelModel, int, Facet] | tuple[PanelModel, int, Facet, int]
) -> tuple[Job, tuple[PlacedPanel, ...]]:
    """So many panels of a model on a facet, of which the last few are kept (fourth item); six a row.

    The job comes back with the kept panels in it.
    """
    placed: list[PlacedPanel] = []
    kept: list[KeptPanel] = []
    spots = {f.name: _spots() for f in job.facets}
    for model, count, facet, *keeps in parts:
        stays = keeps[0] if keeps else 0
        for number in range(count):
            x, y = next(spots[facet.name])
            stay = number >= count - stays
            placed.append(
                PlacedPanel(
                    "?", facet.name, model.model, x, y, *model.sides_mm(False), False, model.power_w, stay
                )
            )
            if stay:
                kept.append(KeptPanel(model, facet.name, x, y))
    return replace(job, kept=tuple(kept)), tuple(placed)


def _spots() -> Iterator[tuple[float, float]]:
    for number in itertools.count():
        yield 100.0 + PITCH_MM * (number % 6), SIDE_MM - 1000.0 - PITCH_MM * (number // 6)


def temperatures(job: Job) -> Temperatures:
    return design_temperatures(job.site)


def a_plan(job: Job, panels: Sequence[PlacedPanel], wiring: Wiring) -> Plan:
    wired = {name for s in wiring.strings for name in s.panels}
    watts = sum(p.watts for p in panels if p.panel in wired)
    layout = Layout(watts, watts, "best found", 0.0, tuple(panels))
    return Plan(job.title, job.file_name, layout, wiring)


def breaches(job: Job, panels: Sequence[PlacedPanel], wiring: Wiring) -> list[str]:
    """What the independent inspection finds."""
    return [b.text for b in inspect_plan(job, a_plan(job, panels, wiring))]


def all_loads(job: Job, of: ControllerModel, model: PanelModel, most: int) -> list[tuple[int, int]]:
    """Every (in series, in parallel) of at most so many panels that one tracker takes, by the rules."""
    assert job.battery is not None
    if not limits.serves_battery(of, job.battery):
        return []
    found = []
    for in_series, in_parallel in itertools.product(range(1, most + 1), repeat=2):
        t = temperatures(job)
        fits = (
            in_series * in_parallel <= most
            and in_series * limits.cold_voc_v(model, t.coldest_cell_c) <= _most_v(job, of, model)
            and in_series * limits.hot_vmp_v(model, t.hottest_cell_c) >= limits.needed_vmp_v(job.battery, of)
            and in_parallel * limits.design_isc_a(model.isc_a or 0.0) <= of.max_pv_isc_a
        )
        if fits:
            found.append((in_series, in_parallel))
    return found


def _most_v(job: Job, of: ControllerModel, model: PanelModel) -> float:
    cap_v = job.wiring_rules.most_string_v
    return min(of.max_pv_v, model.max_system_v or math.inf, math.inf if cap_v is None else cap_v)


def every_wiring(
    job: Job, controllers: Sequence[ControllerModel], groups: Sequence[tuple[PanelModel, str, int, int]]
) -> Iterator[tuple[float, float, list[float]]]:
    """(kept watts left off, watts clipped, per cent clipped of each controller) of every way there is.

    groups are (model, facet, new, kept). For small roofs only: it tries everything.
    """
    assert job.battery is not None
    trackers = [(i, c) for i, c in enumerate(controllers) for _ in range(c.trackers)]
    choices = []
    for _, c in trackers:
        own = [(-1, 0)]
        for number, (model, _, new, kept) in enumerate(groups):
            own += sorted({(number, s * p) for s, p in all_loads(job, c, model, new + kept)})
        choices.append(own)
    for picked in itertools.product(*choices):
        wired = [sum(n for g, n in picked if g == number) for number in range(len(groups))]
        if any(not new <= w <= new + kept for w, (_, _, new, kept) in zip(wired, groups, strict=True)):
            continue
        off_w = sum((new + kept - w) * m.power_w for w, (m, _, new, kept) in zip(wired, groups, strict=True))
        power_w = [0.0] * len(controllers)
        for (i, _), (g, n) in zip(trackers, picked, strict=True):
            power_w[i] += n * groups[g][0].power_w if g >= 0 else 0.0
        cut = [limits.clipped_w(w, c, job.battery) for w, c in zip(power_w, controllers, strict=True)]
        shares = [100.0 * c / w if w else 0.0 for c, w in zip(cut, power_w, strict=True)]
        yield off_w, sum(cut), shares


Loaded = Sequence[tuple[ControllerModel, Sequence[tuple[int, int, int]]]]


def preference(
    job: Job,
    controllers: Sequence[ControllerModel],
    groups: Sequence[tuple[PanelModel, str, int, int]],
    of: Loaded,
) -> tuple[float, ...]:
    """What is to be least, the first first, of loads (group, in series, in parallel) on controllers.

    Kept watts off; watts cut off by controllers and battery; trackers that lose more than 3 % of their
    voltage in 8 m of 10 mm² (1.95 ohm/km at 20 °C: IEC 60228 class 5 tinned; 0.00393 per K, 90 °C); strings
    above 120 V; strings with fuses (the others feed more than the series fuse stands: NEC 690.9, from
    memory); strings above 60 V; working current squared; trackers. Watts in thousandths, A² in
    hundredths.
    """
    battery, t = job.battery, temperatures(job)
    assert battery is not None
    wired, used_w, steep, above_120, fused, above_60, copper, trackers = (
        [0] * len(groups),
        0.0,
        0,
        0,
        0,
        0,
        0,
        0,
    )
    for c, loads in of:
        power_w = 0.0
        for g, in_series, in_parallel in loads:
            model = groups[g][0]
            assert model.isc_a is not None
            assert model.imp_a is not None
            assert model.vmp_v is not None
            assert model.max_series_fuse_a is not None
            wired[g] += in_series * in_parallel
            power_w += in_series * in_parallel * model.power_w
            volts = in_series * limits.cold_voc_v(model, t.coldest_cell_c)
            current = in_parallel * model.imp_a
            drop_v = current * 2 * 8 * 0.00195 * (1 + 0.00393 * 70)
            steep += drop_v > 0.03 * in_series * model.vmp_v
            above_120 += in_parallel * (volts > 120)
            fused += in_parallel * ((in_parallel - 1) * 1.25 * model.isc_a > model.max_series_fuse_a)
            above_60 += in_parallel * (volts > 60)
            copper += round(100 * current**2)
            trackers += 1
        used_w += power_w - limits.clipped_w(power_w, c, battery)
    on_w = sum(n * m.power_w for n, (m, _, _, _) in zip(wired, groups, strict=True))
    off_w = sum((new + kept) * m.power_w for m, _, new, kept in groups) - on_w
    if battery.most_charge_a is not None:
        best = max(c.efficiency_pct for c in controllers) / 100.0
        used_w = min(used_w, battery.most_charge_a * battery.charge_v / best)
    watts = round(1000 * off_w), round(1000 * (on_w - used_w), -1)
    return (*watts, steep, above_120, fused, above_60, copper, trackers)


def every_preference(
    job: Job, controllers: Sequence[ControllerModel], groups: Sequence[tuple[PanelModel, str, int, int]]
) -> Iterator[tuple[float, ...]]:
    """preference of every way there is to put these groups on these controllers; for small roofs only."""
    trackers = [(i, c) for i, c in enumerate(controllers) for _ in range(c.trackers)]
    choices: list[list[tuple[int, int, int]]] = []
    for _, c in trackers:
        own = [(-1, 0, 0)]
        for number, (model, _, new, kept) in enumerate(groups):
            own += [(number, s, p) for s, p in all_loads(job, c, model, new + kept)]
        choices.append(own)
    for picked in itertools.product(*choices):
        wired = [sum(s * p for g, s, p in picked if g == number) for number in range(len(groups))]
        if any(not new <= w <= new + kept for w, (_, _, new, kept) in zip(wired, groups, strict=True)):
            continue
        of = [
            (c, [x for (j, _), x in zip(trackers, picked, strict=True) if j == i and x[0] >= 0])
            for i, c in enumerate(controllers)
        ]
        yield preference(job, controllers, groups, of)
