"""What an electrician weighs between two ways to put as many panels on a tracker, the worst first.

High current costs copper and fuses, high voltage costs safety. Staying below a class of voltage is worth
thicker cable, up to the voltage drop that the job allows; staying below 120 V is worth string fuses too,
staying below 60 V is not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rooflayout.job import Cable, PanelModel
from rooflayout.wiring import limits
from rooflayout.wiring.conductors import METRIC, drop_v
from rooflayout.wiring.protection import needs_fuse

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


@dataclass(frozen=True, slots=True)
class Strung:
    """Equal strings of a model in parallel."""

    model: PanelModel
    in_series: int
    in_parallel: int

    def above(self, class_v: float, coldest_c: float) -> int:
        """How many strings are beyond a class of voltage on the coldest morning."""
        voc_v = self.in_series * limits.cold_voc_v(self.model, coldest_c)
        return self.in_parallel if is_above(voc_v, class_v) else 0


def strain(tracker: Sequence[Strung], coldest_c: float, cable: Cable) -> Strain:
    """The strain of one tracker, by the sorts of strings that it carries.

    Raises ValueError when a model lacks a figure.
    """
    drop_pct = thickest_drop_pct(tracker, cable)
    return Strain(
        steep=int(drop_pct > cable.most_drop_pct * (1.0 + limits.TOLERANCE)),
        above_120=sum(own.above(EXTRA_LOW_V, coldest_c) for own in tracker),
        fused=sum(own.in_parallel for own in tracker if needs_fuse(own.model, others_isc_a(tracker, own))),
        above_60=sum(own.above(TOUCH_V, coldest_c) for own in tracker),
        copper=round(100 * sum(working_a(own.model, own.in_parallel) for own in tracker) ** 2),
    )


def others_isc_a(tracker: Sequence[Strung], own: Strung) -> list[float]:
    """Short-circuit current in A at STC of each string of a tracker beside one of its own sort."""
    return [other.model.isc_a or 0.0 for other in tracker for _ in range(other.in_parallel - (other is own))]


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


def thickest_drop_pct(tracker: Sequence[Strung], cable: Cable) -> float:
    """Voltage drop in % of the operating voltage from panels to controller, in the thickest usual cable.

    There and back, the conductor as hot as its insulation stands; of unlike strings the lower voltage
    counts. Raises ValueError for a blank vmp_v.
    """
    each_v = [own.in_series * _vmp_v(own.model) for own in tracker]
    current_a = sum(working_a(own.model, own.in_parallel) for own in tracker)
    return 100.0 * drop_v(THICKEST, run_mm(cable), current_a, cable.insulation_c) / min(each_v)


def _vmp_v(model: PanelModel) -> float:
    if model.vmp_v is None:
        raise ValueError(f"{model.model} has no vmp_v in the catalogue; wiring needs it")
    return model.vmp_v


def run_mm(cable: Cable) -> float:
    """Length one way in mm from the panels to the controller: the job's, where it gives both parts."""
    if cable.roof_run_mm is None or cable.gland_to_controller_mm is None:
        return USUAL_RUN_MM
    return cable.roof_run_mm + cable.gland_to_controller_mm
