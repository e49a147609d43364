"""What an electrician weighs between two ways to put as many panels on a tracker, the worst first.

High current costs copper and fuses, high voltage costs safety. Staying below a class of voltage is worth
thicker cable, up to the voltage drop that the job allows; staying below 120 V is worth string fuses too,
staying below 60 V is not.
"""

from __future__ import annotations

from dataclasses import dataclass

from rooflayout.job import Cable, PanelModel
from rooflayout.wiring import limits
from rooflayout.wiring.conductors import METRIC, drop_v

TOUCH_V = 60.0  # DC, dangerous to touch above it even when dry; from memory
EXTRA_LOW_V = 120.0  # DC, ripple-free: extra-low voltage ends (IEC 60364-4-41, from memory)

# The thickest cable that is usually brought from a roof: common practice, no source.
THICKEST = next(size for size in METRIC if size.mm2 == 10)
USUAL_RUN_MM = 8000.0  # one way, where the job leaves it open: common practice, no source


@dataclass(frozen=True, slots=True, order=True)
class Strain:
    """The less the better, the first figure first; strains of several trackers add up, figure by figure.

    steep: 1 where even the thickest usual cable drops more than the job allows. above_120 and above_60:
    strings whose open-circuit voltage on the coldest morning is higher. fused: strings that need a fuse
    each. copper: working current squared in 0.01 A², to which the loss in cable is proportional.
    """

    steep: int
    above_120: int
    fused: int
    above_60: int
    copper: int


def strain(model: PanelModel, in_series: int, in_parallel: int, coldest_c: float, cable: Cable) -> Strain:
    """The strain of equal strings on one tracker. Raises ValueError when the model lacks a figure."""
    voc_v = in_series * limits.cold_voc_v(model, coldest_c)
    drop_pct = thickest_drop_pct(model, in_series, in_parallel, cable)
    return Strain(
        steep=int(drop_pct > cable.most_drop_pct * (1.0 + limits.TOLERANCE)),
        above_120=in_parallel if is_above(voc_v, EXTRA_LOW_V) else 0,
        fused=in_parallel if limits.needs_string_fuses(model, in_parallel) else 0,
        above_60=in_parallel if is_above(voc_v, TOUCH_V) else 0,
        copper=round(100 * working_a(model, in_parallel) ** 2),
    )


def is_above(voc_v: float, class_v: float) -> bool:
    """Whether a voltage is beyond a class; one that is just met is not."""
    return voc_v > class_v * (1.0 + limits.TOLERANCE)


def working_a(model: PanelModel, in_parallel: int) -> float:
    """Current in A at the operating point at STC; short-circuit current where imp_a is blank.

    Raises ValueError when both are.
    """
    current_a = model.isc_a if model.imp_a is None else model.imp_a
    if current_a is None:
        raise ValueError(f"{model.model} has no isc_a in the catalogue; wiring needs it")
    return in_parallel * current_a


def thickest_drop_pct(model: PanelModel, in_series: int, in_parallel: int, cable: Cable) -> float:
    """Voltage drop in % of the operating voltage from panels to controller, in the thickest usual cable.

    There and back, the conductor as hot as its insulation stands. Raises ValueError for a blank vmp_v.
    """
    if model.vmp_v is None:
        raise ValueError(f"{model.model} has no vmp_v in the catalogue; wiring needs it")
    lost_v = drop_v(THICKEST, run_mm(cable), working_a(model, in_parallel), cable.insulation_c)
    return 100.0 * lost_v / (in_series * model.vmp_v)


def run_mm(cable: Cable) -> float:
    """Length one way in mm from the panels to the controller: the job's, where it gives both parts."""
    if cable.roof_run_mm is None or cable.gland_to_controller_mm is None:
        return USUAL_RUN_MM
    return cable.roof_run_mm + cable.gland_to_controller_mm
