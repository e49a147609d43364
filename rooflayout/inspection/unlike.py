"""What two sorts of strings lose on one tracker, worked out anew with pvlib's solution of the diode equation.

Conditions: standard test conditions; hottest noon; and the sun all round at a few heights, on the hottest
and on the coldest day, by the clear-sky formula of Meinel and Meinel (1976, from memory) with a tenth of
the direct light from an even sky (common practice, no source).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

from rooflayout.inspection.breach import Breach, figures
from rooflayout.inspection.electrical import coldest_c, hottest_air_c, lacking
from rooflayout.inspection.lookup import model_of, panels_of, tracker_strings
from rooflayout.job import Facet, Job, PanelModel
from rooflayout.plan import Plan

MOST_SORTS = 2
STC = (1000.0, 25.0)
DAYS = (("hot", (15.0, 30.0, 60.0)), ("cold", (15.0, 30.0)))  # heights of the sun, degrees
BEARINGS_DEG = range(0, 360, 45)
VOLTAGES = 600
ROUNDED_PCT = 0.1  # between this way to work it out and another
ROUNDED_SQUARE_PCT = 0.5  # where a panel's curve is squarer than the fit allows
TOWARDS_DEG = {"+x": 0.0, "+y": 90.0, "-x": 180.0, "-y": 270.0}


@dataclass(frozen=True, slots=True)
class Sort:
    """in_parallel equal strings of in_series panels on a facet."""

    facet: Facet
    model: PanelModel
    in_series: int
    in_parallel: int


def strings_of_a_tracker_get_on(job: Job, plan: Plan) -> Iterator[Breach]:
    """Parallel strings are of one sort, or of two that lose no more than the job allows."""
    for (name, tracker), strings in tracker_strings(plan).items():
        kinds: dict[tuple[object, ...], list[str]] = {}
        for string in strings:
            panels = panels_of(plan, string)
            models, facets = sorted({p.model for p in panels}), sorted({p.facet for p in panels})
            kind = (len(string.panels), tuple(models), tuple(facets))
            words = f"{string.string}: {len(string.panels)} x {'/'.join(models)} on {'/'.join(facets)}"
            kinds.setdefault(kind, []).append(words)
        if len(kinds) < 2:
            continue
        where = f"{name} tracker {tracker}"
        text = f"unlike strings are parallel on {where} ({'; '.join(own[0] for own in kinds.values())})"
        if len(kinds) > MOST_SORTS:
            yield Breach("strings-unlike", where, f"{text}; at most {MOST_SORTS} sorts may be")
            continue
        sorts = _sorts(job, plan, {kind: len(own) for kind, own in kinds.items()})
        if sorts is None:
            yield Breach("strings-unlike", where, f"{text}; what they lose cannot be worked out")
            continue
        lost_pct, slack_pct = worst_loss_pct(job, plan, sorts)
        if lost_pct > job.wiring_rules.most_mismatch_pct + slack_pct:
            a, b = figures(lost_pct, job.wiring_rules.most_mismatch_pct)
            yield Breach("strings-unlike", where, f"{text}; they lose {a} %, the job allows {b} %")


def worst_loss_pct(job: Job, plan: Plan, sorts: Sequence[Sort]) -> tuple[float, float]:
    """The largest share that the sorts lose together, in % of what each gives alone, and how sure that is."""
    days = {"hot": hottest_air_c(job, plan), "cold": coldest_c(job, plan)}
    rise_k = 1000.0 * math.exp(-2.98 - 0.0471) + 1.0  # in full sun: King and others 2004, flush on a roof
    cases = [(STC,) * len(sorts), ((1000.0, days["hot"] + rise_k),) * len(sorts)]
    for day, heights in DAYS:
        for height, bearing in product(heights, BEARINGS_DEG):
            suns = [_sun_w_m2(job, s.facet, height, float(bearing)) for s in sorts]
            cases.append(tuple((sun, days[day] + rise_k * sun / 1000.0) for sun in suns))
    square = any(_fit(s.model)[1] for s in sorts)
    lost = [
        _lost_pct(tuple((s, *at) for s, at in zip(sorts, case, strict=True)))
        for case in dict.fromkeys(cases)  # on level facets every bearing is the same
    ]
    return max(lost), ROUNDED_SQUARE_PCT if square else ROUNDED_PCT


def _sorts(job: Job, plan: Plan, kinds: dict[tuple[object, ...], int]) -> list[Sort] | None:
    """None where a string is mixed, of an unknown model or facet, or its figures are blank."""
    models = {p.model: model_of(job, p) for p in plan.layout.panels}
    facets = {f.name: f for f in job.facets}
    found = []
    for (count, names, places), strings in kinds.items():
        assert isinstance(count, int)
        assert isinstance(names, tuple)
        assert isinstance(places, tuple)
        model = models.get(names[0]) if len(names) == 1 else None
        facet = facets.get(places[0]) if len(places) == 1 else None
        if model is None or facet is None or lacking([model]):
            return None
        found.append(Sort(facet, model, count, strings))
    return found


def _sun_w_m2(job: Job, facet: Facet, height_deg: float, bearing_deg: float) -> float:
    """On a facet, the sun at a bearing clockwise from the front."""
    from pvlib import irradiance

    beam = 1353.0 * 0.7 ** ((1.0 / math.sin(math.radians(height_deg))) ** 0.678)
    slope, faces = facet.slope_deg, 0.0
    if facet.downhill is None:
        slope = 0.0
    elif isinstance(facet.downhill, str):
        faces = TOWARDS_DEG[facet.front] - TOWARDS_DEG[facet.downhill]
    else:
        faces = facet.downhill - ((job.site.heading_deg if job.site else None) or 0.0)
    share = float(irradiance.aoi_projection(slope, faces % 360.0, 90.0 - height_deg, bearing_deg))
    sky = float(irradiance.isotropic(slope, 0.1 * beam))
    return float(beam * max(0.0, share) + sky)


@lru_cache(maxsize=1024)
def _lost_pct(parts: tuple[tuple[Sort, float, float], ...]) -> float:
    """Of sorts, each with its sun in W/m2 and cell temperature in °C."""
    import numpy as np
    from pvlib import pvsystem

    diodes, tops = [], []
    for sort, sun, cell_c in parts:
        fitted, _ = _fit(sort.model)
        five = pvsystem.calcparams_desoto(np.float64(sun), cell_c, **fitted)
        diodes.append(five)
        tops.append(sort.in_series * float(pvsystem.v_from_i(0.0, *five)))
    voltage_v = np.linspace(0.0, max(tops), VOLTAGES)
    together = np.zeros(VOLTAGES)
    alone_w = 0.0
    for (sort, _, _), five in zip(parts, diodes, strict=True):
        string_a = pvsystem.i_from_v(voltage_v / sort.in_series, *five)
        together += sort.in_parallel * string_a
        best = pvsystem.max_power_point(*five)["p_mp"]
        alone_w += sort.in_parallel * sort.in_series * float(best)
    if alone_w <= 0.0:
        return 0.0
    return max(0.0, 100.0 * (1.0 - float((voltage_v * together).max()) / alone_w))


def _fit(model: PanelModel) -> tuple[dict[str, float], bool]:
    """Arguments of calcparams_desoto; True where a resistance had to be put right."""
    from pvlib.ivtools import sdm

    assert model.voc_v is not None
    assert model.vmp_v is not None
    assert model.isc_a is not None
    imp_a = model.power_w / model.vmp_v if model.imp_a is None else model.imp_a
    voc_pct = -0.34 if model.voc_pct_per_k is None else model.voc_pct_per_k
    isc_pct = 0.05 if model.isc_pct_per_k is None else model.isc_pct_per_k
    vmp_v, imp_a = min(model.vmp_v, 0.995 * model.voc_v), min(imp_a, 0.995 * model.isc_a)
    alpha = isc_pct / 100.0 * model.isc_a
    fit = sdm.fit_desoto_batzelis(vmp_v, imp_a, model.voc_v, model.isc_a, alpha, voc_pct / 100 * model.voc_v)
    square = not (fit["R_s"] >= 0.0 and fit["R_sh_ref"] > 0.0)
    return {
        "alpha_sc": alpha,
        "a_ref": float(fit["a_ref"]),
        "I_L_ref": float(fit["I_L_ref"]),
        "I_o_ref": float(fit["I_o_ref"]),
        "R_sh_ref": float(fit["R_sh_ref"]) if fit["R_sh_ref"] > 0.0 else 1e6,
        "R_s": max(0.0, float(fit["R_s"])),
        "EgRef": 1.121,
        "dEgdT": -0.0002677,
    }, square
