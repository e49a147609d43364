"""The cable from a controller that portable panels have to themselves to the battery: as on board."""

from __future__ import annotations

from rooflayout.job import ControllerModel, Job
from rooflayout.plan import PortableString, Wiring
from rooflayout.wiring.conductors import AWG, METRIC, Size
from rooflayout.wiring.drafts import inside_laid, least_mm2
from rooflayout.wiring.lengths import controller_to_battery
from rooflayout.wiring.protection import CONTINUOUS_FACTOR, battery_fuse
from rooflayout.wiring.sizing import Need, smallest


def to_the_battery(
    job: Job, wiring: Wiring, string: PortableString, controller: ControllerModel
) -> tuple[Size | None, Size | None]:
    """The smallest metric and AWG size that carry the fuse and keep to the drop; None for a row without.

    Raises ValueError when the job has no battery.
    """
    if job.battery is None:
        raise ValueError("the job has no battery, so nothing is charged")
    need = Need(
        carry_a=max(
            CONTINUOUS_FACTOR * controller.max_charge_a, battery_fuse(controller.max_charge_a).size_a or 0.0
        ),
        working_a=string.charge_a,
        length_mm=controller_to_battery(job).mm,
        voltage_v=job.battery.nominal_v,
        laid=inside_laid(job, wiring),
        least_mm2=least_mm2(job),
    )
    metric, awg = (smallest(sizes, need, job.cable.most_drop_pct) for sizes in (METRIC, AWG))
    return metric, awg
