"""Harvest by hand: one sun, known shade, known limits; then a trailer's year."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pvlib
import pytest

from rooflayout.energy import cells
from rooflayout.energy.facet_light import usual_pct_per_k
from rooflayout.energy.harvest import Harvest, harvest
from rooflayout.energy.shade import ShadeTable, shade_table
from rooflayout.energy.sky import SkyHours, of_months
from rooflayout.energy.sun import mean_days
from rooflayout.job import (
    Battery,
    ControllerModel,
    Controllers,
    Facet,
    Job,
    Obstacle,
    PanelModel,
    PanelRules,
    PortablePanels,
    Site,
)
from rooflayout.plan import (
    CableRun,
    ControllerLoad,
    Mismatch,
    PanelString,
    PlacedPanel,
    PortableString,
    Temperatures,
    Wiring,
)
from rooflayout.wiring.curves import five_parameters

ROOF = Facet("roof", ((0.0, 0.0), (6000.0, 0.0), (6000.0, 2400.0), (0.0, 2400.0)))
PANEL = PanelModel(
    "Fern 100", 1000, 600, 100.0, voc_v=22.0, vmp_v=18.0, isc_a=5.9, imp_a=5.56, power_pct_per_k=-0.4
)
BIG = ControllerModel("Moss 100", 100, 60, 100.0, (12.0,), efficiency_pct=95.0)
SMALL = replace(BIG, model="Moss 10", max_charge_a=10.0)
MAST = Obstacle("mast", "roof", "other", centre_mm=(3000.0, 1200.0), diameter_mm=300.0, height_mm=600.0)
TEMPERATURES = Temperatures(-5.0, "given", 42.0, 91.0, "given")


def placed(name: str, x: float, y: float = 0.0, turned: bool = False) -> PlacedPanel:
    long, wide = (600.0, 1000.0) if turned else (1000.0, 600.0)
    return PlacedPanel(name, "roof", PANEL.model, x, y, long, wide, turned, 100.0)


def job_of(
    *obstacles: Obstacle, heading: float | None = None, portable: tuple[PortablePanels, ...] = ()
) -> Job:
    return Job(
        "",
        (ROOF,),
        PanelRules((PANEL,)),
        obstacles=obstacles,
        site=Site(41.0, 1.0, heading),
        battery=Battery(12.0, 14.4, 200.0),
        controllers=Controllers((BIG, SMALL)),
        portable=portable,
    )


def string(name: str, *panels: str, controller: str = "C1") -> PanelString:
    n = len(panels)
    return PanelString(name, controller, 1, "roof", PANEL.model, panels, 24.0 * n, 14.0 * n, 5.9, 100.0 * n)


def wired(*strings: PanelString, model: str = "Moss 100", set_a: float | None = None) -> Wiring:
    names = sorted({s.controller for s in strings})
    loads = tuple(ControllerLoad(c, model, 100.0, 5.9, 6.0, 0.0, 0.0, set_a) for c in names)
    return Wiring(strings, loads, (), TEMPERATURES)


def one_sun(
    dni: float = 800.0, dhi: float = 100.0, altitude: float = 90.0, azimuth: float = 180.0
) -> SkyHours:
    """One hour, thirty times in June."""

    def one(value: float) -> np.ndarray:
        return np.array([value])

    return SkyHours(
        np.array([6]), np.array([0]), one(30.0), one(altitude), one(azimuth), one(dni), one(dhi), one(20.0)
    )


def year() -> SkyHours:
    sun = (2.1, 3.0, 4.3, 5.4, 6.3, 7.0, 7.1, 6.1, 4.8, 3.4, 2.3, 1.8)
    parts = (0.4, 0.8, 1.1, 1.25, 1.45)
    return of_months(list(sun), [[h * p for p in parts] for h in sun], [15.0] * 12, mean_days(41.0, 1.0))


FLUSH_K, FREE_AIR_K = 49.46, 32.32  # the rise of limits.flush_cell_c and open_rack_cell_c in full sun


def by_hand_w(watts: float, rise_k: float = FLUSH_K) -> float:
    """800 W/m² square through the glass, 100 W/m² from the sky, 20 °C air, 900 W/m² of light on the cells."""
    cell = 20.0 + 0.9 * rise_k
    light = 0.8 + 0.1 * (1.0 - 0.05 * (1.0 / 0.5 - 1.0))
    return watts * light * (1.0 - 0.004 * (cell - 25.0)) * 0.96 * 0.96


class KnownShade(ShadeTable):
    """A table whose losses are given by panel corner: x_mm / 10 000 from every direction."""

    def any_shade(self, facet_name: str) -> bool:
        return True

    def beam_loss(self, facet_name, rects_mm, sections, along):  # type: ignore[no-untyped-def]
        x = np.asarray(rects_mm, dtype=float)[:, 0]
        return np.repeat(x[:, None] / 10_000.0, len(self.directions), axis=1)


def known_shade() -> KnownShade:
    plain = shade_table(job_of())
    return KnownShade(plain.directions, plain.facets)


def run(job: Job, panels: tuple[PlacedPanel, ...], wiring: Wiring | None, sky: SkyHours) -> Harvest:
    return harvest(job, panels, wiring, sky, shade_table(job))


def test_a_panel_alone_by_hand() -> None:
    found = run(job_of(), (placed("P1", 0),), None, one_sun())
    assert found.roof_w == pytest.approx(np.full((12, 1), by_hand_w(100.0)), rel=1e-4)
    assert found.roof_days[5] == ((pytest.approx(by_hand_w(100.0), rel=1e-4), 30.0),)
    assert found.roof_days[0] == ()
    assert found.wh_year == pytest.approx(30.0 * by_hand_w(100.0), rel=1e-4)
    assert found.controllers == ()


def test_a_controller_takes_its_losses() -> None:
    panels = (placed("P1", 0), placed("P2", 1000))
    found = run(job_of(), panels, wired(string("S1", "P1", "P2")), one_sun())
    assert found.wh_year == pytest.approx(30.0 * by_hand_w(200.0) * 0.95, rel=1e-4)
    assert found.controllers[0].passes_pct == pytest.approx(100.0)


@pytest.mark.parametrize(("model", "set_a", "most_w"), [("Moss 10", None, 132.0), ("Moss 100", 8.0, 105.6)])
def test_a_charge_limit_clips(model: str, set_a: float | None, most_w: float) -> None:
    """At 13.2 V, half way from nominal to charge voltage."""
    panels = tuple(placed(f"P{i}", 1000.0 * i) for i in range(4))
    wiring = wired(string("S1", *(p.panel for p in panels)), model=model, set_a=set_a)
    found = run(job_of(), panels, wiring, one_sun())
    could = 30.0 * by_hand_w(400.0) * 0.95
    assert found.controllers[0].could_wh_year == pytest.approx(could, rel=1e-4)
    assert found.controllers[0].passes_wh_year == pytest.approx(30.0 * most_w)
    assert found.wh_year == pytest.approx(30.0 * most_w)


def test_a_string_follows_its_weakest_panel_and_strings_add_up() -> None:
    panels = (placed("P1", 0), placed("P2", 1000), placed("P3", 4000))  # 0, 10 and 40 % of the beam
    sky, table = one_sun(dhi=0.0), known_shade()
    parts = []
    for names in (("P1", "P2"), ("P1", "P3"), ("P2", "P3")):
        parts.append(harvest(job_of(), panels, wired(string("S1", *names)), sky, table).wh_year)
    assert parts[1] == pytest.approx(parts[0] * 0.6 / 0.9)
    assert parts[2] == pytest.approx(parts[1])
    two = wired(string("S1", "P1", "P2"), string("S2", "P1", "P3"))
    assert harvest(job_of(), panels, two, sky, table).wh_year == pytest.approx(parts[0] + parts[1])
    alone = harvest(job_of(), panels, None, sky, table)
    assert alone.wh_year == pytest.approx((1.0 + 0.9 + 0.6) * parts[0] / 0.9 / 2.0 / 0.95)
    assert [s.loss_pct for s in alone.shade] == pytest.approx([0.0, 10.0, 40.0])


def test_shade_takes_only_the_beam() -> None:
    panels, table = (placed("P1", 5000),), known_shade()
    suns = [one_sun(800.0, dhi) for dhi in (0.0, 800.0)]
    share = [harvest(job_of(), panels, None, sky, table).shade[0].loss_pct for sky in suns]
    assert share == pytest.approx([50.0, 50.0 / (1.0 + cells.DIFFUSE_GLASS)])


def test_unlike_strings_lose_what_the_plan_says() -> None:
    panels = (placed("P1", 0), placed("P2", 1000))
    plain = wired(string("S1", "P1"), string("S2", "P2"))
    unlike = replace(plain, mismatch=(Mismatch("C1", 1, ("S1", "S2"), 3.0),))
    found = [run(job_of(), panels, w, one_sun()).wh_year for w in (plain, unlike)]
    assert found[1] == pytest.approx(0.97 * found[0])


def test_cables_take_their_drop_in_proportion_to_the_current() -> None:
    cable = CableRun(
        "R1", "string", "S1", "C1 tracker 1", 6, 3000, False, 4, "12", 30, 0.5, 4.0, None, True, ""
    )
    plain = wired(string("S1", "P1"))
    long = replace(plain, runs=(cable,))
    found = [run(job_of(), (placed("P1", 0),), w, one_sun()).wh_year for w in (plain, long)]
    share = by_hand_w(100.0) / 100.0
    assert found[1] == pytest.approx(found[0] * (1.0 - 0.04 * share), rel=1e-4)


def test_panels_that_no_controller_takes_give_nothing() -> None:
    panels = (placed("P1", 0), placed("K1", 1000))
    some = run(job_of(), panels, replace(wired(string("S1", "P1")), unwired=("K1",)), one_sun())
    assert some.wh_year == pytest.approx(30.0 * by_hand_w(100.0) * 0.95, rel=1e-4)


def test_portable_panels_stand_apart() -> None:
    own = PortablePanels("suitcase", PANEL, 2, SMALL, own_controller=True)
    charger = [PortablePanels(n, PANEL, c, BIG, own_controller=False) for n, c in (("A", 1), ("B", 3))]
    as_plugged = [
        PortableString(
            p.name, PANEL.model, p.controller.model, p.own_controller, 1, p.count, 24, 14, 6, w, 8, 0
        )
        for p, w in ((own, 200.0), (charger[0], 100.0), (charger[1], 300.0))
    ]
    wiring = replace(wired(string("S1", "P1")), portable=tuple(as_plugged))
    found = run(job_of(portable=(own, *charger)), (placed("P1", 0),), wiring, one_sun())
    assert found.wh_year == pytest.approx(30.0 * by_hand_w(100.0) * 0.95, rel=1e-4)
    suitcase_w, charger_w = (0.95 * by_hand_w(watts, FREE_AIR_K) for watts in (200.0, 300.0))
    expected = min(suitcase_w, 132.0) + charger_w  # one at a time on the charger
    assert found.portable_w[0] == pytest.approx(expected, rel=1e-4)
    assert found.portable_days[5][0][0] == pytest.approx(expected, rel=1e-4)


def test_a_mast_shades_the_panel_north_of_it_and_not_the_one_to_its_south() -> None:
    """Front to the north: x points north, so the sun of noon shades what lies at larger x."""
    panels = (placed("P1", 1600, 900), placed("P2", 3300, 900))
    found = run(job_of(MAST, heading=0.0), panels, None, year())
    south, north = (s.loss_pct for s in found.shade)
    assert north > 5.0
    assert south < north / 3.0


def test_panels_alone_add_up_to_the_harvest() -> None:
    """Watts x what a watt gives x what shade leaves, panel by panel."""
    panels = (placed("P1", 1600, 900), placed("P2", 3300, 900), placed("P3", 3300, 0, turned=True))
    found = run(job_of(MAST), panels, None, year())
    each = found.facets[0].wh_per_w_year * 100.0
    assert found.wh_year == pytest.approx(
        sum(each * (1.0 - s.loss_pct / 100.0) for s in found.shade), rel=1e-6
    )
    assert all(s.loss_pct > 0.0 for s in found.shade)


def test_a_bare_roof_has_no_shade() -> None:
    found = run(job_of(), (placed("P1", 1600, 900),), None, year())
    assert found.shade[0].loss_pct == 0.0
    assert found.wh_year == pytest.approx(100.0 * found.facets[0].wh_per_w_year)


def test_months_add_up_to_the_year_and_clipping_never_adds() -> None:
    panels = tuple(placed(f"P{i}", 1000.0 * i) for i in range(4))
    names = tuple(p.panel for p in panels)
    sky = year()
    big, small = (
        run(job_of(MAST), panels, wired(string("S1", *names), model=m), sky) for m in ("Moss 100", "Moss 10")
    )
    for found in (big, small):
        assert [len(m) for m in found.roof_days] == [5] * 12
        assert found.wh_year == pytest.approx(found.controllers[0].passes_wh_year)
        assert sum(days for month in found.roof_days for _, days in month) == pytest.approx(365.0)
    assert small.controllers[0].could_wh_year == pytest.approx(big.controllers[0].could_wh_year, rel=0.02)
    assert 60.0 < small.controllers[0].passes_pct < 95.0
    assert (small.roof_w <= 132.0 + 1e-9).all()


def test_a_trailers_year_takes_less_than_two_seconds() -> None:
    panels = tuple(placed(f"P{i}", 1000.0 * (i % 6), 700.0 * (i // 6)) for i in range(18))
    strings = tuple(string(f"S{i}", *(p.panel for p in panels[3 * i : 3 * i + 3])) for i in range(6))
    job, sky = job_of(MAST), year()
    table = shade_table(job)
    start = time.process_time()
    harvest(job, panels, wired(*strings), sky, table)
    assert time.process_time() - start < 2.0


def test_glass_is_the_formula_of_ashrae() -> None:
    angles = np.arange(0.0, 90.0, 5.0)
    found = cells.glass_share(np.cos(np.radians(angles)))
    assert found == pytest.approx(pvlib.iam.ashrae(angles, b=0.05), abs=1e-12)
    assert cells.glass_share(np.array([0.0])) == pytest.approx([0.0], abs=1e-12)


@pytest.mark.parametrize(("irradiance", "cell_c"), [(200, 25), (400, 35), (600, 50), (800, 60), (1000, 75)])
def test_power_by_the_coefficient_is_near_the_single_diode(irradiance: float, cell_c: float) -> None:
    """pvlib's single diode with the panel's data-sheet values: within 4 % from 200 W/m² up."""
    panel = PanelModel(
        "Fern 200",
        1600,
        800,
        200.0,
        voc_v=24.3,
        vmp_v=20.4,
        isc_a=10.4,
        imp_a=9.8,
        voc_pct_per_k=-0.27,
        isc_pct_per_k=0.045,
        power_pct_per_k=-0.34,
    )
    photo, saturation, r_s, r_sh, a_v = five_parameters(panel, irradiance, cell_c)
    diode_w = float(pvlib.pvsystem.singlediode(photo, saturation, r_s, r_sh, a_v)["p_mp"])
    own_w = 200.0 * irradiance / 1000.0 * float(cells.heat_factor(-0.34, np.array(cell_c)))
    assert own_w == pytest.approx(diode_w, rel=0.04)


def test_cells_of_a_flush_panel_are_the_close_roof_mounts() -> None:
    """89.46 °C at 40 °C in full sun: pvlib's temperature.sapm_cell, close mount glass/glass, 1 m/s."""
    hot = cells.flush_cells_c(np.array([40.0, 40.0]), np.array([1000.0, 500.0]))
    assert hot == pytest.approx([89.46, 64.73], abs=0.02)


def test_cells_of_a_panel_in_free_air_are_the_open_racks() -> None:
    """72.32 °C at 40 °C in full sun: King and others 2004, SAND2004-3535, open rack glass/glass, 1 m/s."""
    free = cells.open_rack_cells_c(np.array([40.0, 40.0]), np.array([1000.0, 500.0]))
    assert free == pytest.approx([72.32, 56.16], abs=0.01)


def test_a_blank_coefficient_is_the_usual_one() -> None:
    blank = replace(PANEL, power_pct_per_k=None)
    assert cells.power_pct_per_k(blank) == -0.35
    assert usual_pct_per_k(ROOF, (placed("P1", 0),), {PANEL.model: PANEL}) == -0.4
    assert usual_pct_per_k(ROOF, (), {"blank": blank}) == -0.35
