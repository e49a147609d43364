"""Every way to put a panel model on a tracker: what packing counts with and wiring hands out.

Panels of one model on one facet are interchangeable to an electrician, and so are equal trackers;
so a roof is wireable when counts of strings match counts of panels. A tracker takes equal strings, or
where there are more groups than trackers two sorts of strings (unlike.py).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rooflayout.job import Battery, ControllerModel, Job, PanelModel
from rooflayout.plan import Temperatures
from rooflayout.wiring import limits
from rooflayout.wiring.unlike import UnlikePair, unlike_pairs

UNLIMITED = 1000  # trackers of a class, when controllers are chosen from the catalogue
MOST_CONTROLLERS = 12  # when they are chosen: more is not a set that anyone would fit on a small roof
LONGEST_SERIES = 20  # panels; a longer string on a small roof is not worth the solver's time


@dataclass(frozen=True, slots=True)
class TrackerClass:
    """Equal trackers, which are interchangeable: all those of one controller model.

    trackers counts them over all copies of the controller; UNLIMITED when controllers are chosen.
    """

    controller: ControllerModel
    trackers: int


@dataclass(frozen=True, slots=True)
class StringOption:
    """One way to put a panel model on a tracker of a class.

    tracker_class is an index into Supply.classes; most_parallel, at least 1, is how many equal
    strings one tracker takes.
    """

    model: PanelModel
    tracker_class: int
    in_series: int
    most_parallel: int


@dataclass(frozen=True, slots=True)
class Supply:
    """The trackers that serve the battery, and what each may carry."""

    classes: tuple[TrackerClass, ...]
    options: tuple[StringOption, ...]
    pairs: tuple[UnlikePair, ...] = ()


def supply_of(
    job: Job,
    temperatures: Temperatures,
    capped: bool = True,
    there: frozenset[tuple[str, str]] | None = None,
) -> Supply:
    """The trackers and string options of a job, for the models in use and those of kept panels.

    Controllers that do not serve the battery are left out, and so is a model that lacks a figure
    which wiring needs. When controllers are chosen and capped is true, a tracker alone may not make
    its controller cut off more than most_clipped_pct; nor do unlike strings share a tracker then.
    there: (facet, model) of all panels, where that is settled.
    Raises ValueError when the job has no battery or no controllers.
    """
    if job.battery is None or job.controllers is None:
        raise ValueError("the job has no battery or no controllers, so nothing can be wired")
    battery, controllers = job.battery, job.controllers
    cap_pct = controllers.most_clipped_pct if controllers.choose and capped else None
    most_string_v = job.wiring_rules.most_string_v
    models = models_to_wire(job)
    classes: list[TrackerClass] = []
    options: list[StringOption] = []
    for controller in distinct(controllers.catalogue if controllers.choose else controllers.fitted):
        if not limits.serves_battery(controller, battery):
            continue
        copies = controllers.fitted.count(controller)
        trackers = UNLIMITED if controllers.choose else copies * controller.trackers
        for model in models:
            for in_series, parallel in ways(model, controller, battery, temperatures, cap_pct, most_string_v):
                options.append(StringOption(model, len(classes), in_series, parallel))
        classes.append(TrackerClass(controller, trackers))
    pairs = () if controllers.choose else unlike_pairs(job, temperatures, classes, options, there)
    return Supply(tuple(classes), tuple(options), pairs)


def models_to_wire(job: Job) -> tuple[PanelModel, ...]:
    """The models in use, then those of kept panels, each once; without those that lack a figure."""
    every = job.panel_models()
    return tuple(m for m in every.values() if has_figures(m))


def shortest_strings(options: Iterable[StringOption]) -> dict[str, int]:
    """By model the least panels in series of these options."""
    found: dict[str, int] = {}
    for option in options:
        name = option.model.model
        found[name] = min(option.in_series, found.get(name, option.in_series))
    return found


def has_figures(model: PanelModel) -> bool:
    """True when the catalogue gives the figures that wiring cannot do without."""
    return model.voc_v is not None and model.vmp_v is not None and model.isc_a is not None


def distinct(controllers: Iterable[ControllerModel]) -> tuple[ControllerModel, ...]:
    """Each controller model once, in order of first appearance."""
    return tuple(dict.fromkeys(controllers))


def ways(
    model: PanelModel,
    controller: ControllerModel,
    battery: Battery,
    temperatures: Temperatures,
    cap_pct: float | None = None,
    most_string_v: float | None = None,
) -> list[tuple[int, int]]:
    """(in series, most strings in parallel) for every length of string that one tracker takes.

    most_string_v is the installer's own cap on a string's voltage in the cold. With cap_pct, the
    tracker's strings alone may not have more than that per cent of their watts cut off.
    """
    least = limits.least_in_series(model, controller, battery, temperatures.hottest_cell_c)
    most = limits.most_in_series(model, controller, temperatures.coldest_cell_c, most_string_v)
    parallel = limits.most_in_parallel(model, controller)
    found = []
    for in_series in range(least, min(most, LONGEST_SERIES) + 1):
        strings = parallel
        while strings and not within_cap(strings * in_series * model.power_w, controller, battery, cap_pct):
            strings -= 1
        if strings:
            found.append((in_series, strings))
    return found


def within_cap(power_w: float, controller: ControllerModel, battery: Battery, cap_pct: float | None) -> bool:
    """True when the controller cuts off at most cap_pct per cent of power_w; no cap is no limit."""
    if cap_pct is None:
        return True
    allowed_w = cap_pct / 100.0 * power_w
    return limits.clipped_w(power_w, controller, battery) <= allowed_w + limits.TOLERANCE * power_w
