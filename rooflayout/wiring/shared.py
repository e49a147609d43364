"""Why two sorts of strings that share a tracker have as many panels in series as they have.

Beside every other way to divide the same panels of each sort: a limit forbids it, it loses more, or it
strains more, in this order.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields

from rooflayout.job import ControllerModel, Job, PanelModel
from rooflayout.plan import Temperatures
from rooflayout.wiring import limits
from rooflayout.wiring.mismatch import StringPart, worst_loss
from rooflayout.wiring.options import ways
from rooflayout.wiring.strain import EXTRA_LOW_V, TOUCH_V, Strain, Strung, strain
from rooflayout.wiring.unlike import LOSS_DECIMALS, Sort, allowed_loss_pct

WORSE = {
    "steep": "would lose more than the job allows even in 10 mm² cable",
    "above_120": f"would be more strings above {EXTRA_LOW_V:g} V DC",
    "fused": "would need more string fuses",
    "above_60": f"would be more strings above {TOUCH_V:g} V DC",
    "copper": "would bring more current, so more loss in the cable",
}


@dataclass(frozen=True, slots=True)
class Shares:
    """Equal strings of a model on a facet, that share a tracker with others."""

    facet: str
    model: PanelModel
    in_series: int
    in_parallel: int

    def divided(self) -> Iterator[Shares]:
        """The same panels in strings of every length, this one too."""
        panels = self.in_series * self.in_parallel
        for in_series in range(1, panels + 1):
            if panels % in_series == 0:
                yield Shares(self.facet, self.model, in_series, panels // in_series)


Pair = tuple[Shares, Shares]


def why_these_in_series(
    job: Job, temperatures: Temperatures, controller: ControllerModel, pair: Pair, words: Sequence[str]
) -> str:
    """Why the two sorts have as many in series as they have, a clause.

    words: "two in series" and the like for 1, 2 ... panels in series, from 0 on.
    Raises KeyError for a facet that the job does not know, ValueError for a panel without figures.
    """
    own_v = " and ".join(f"{s.in_series * (s.model.vmp_v or 0.0):.1f} V" for s in pair)
    loss = _worst_pct(job, temperatures, pair)
    told = f"at {own_v} (STC) they lose {loss:.2f} % together at most"
    others = [(a, b) for a in pair[0].divided() for b in pair[1].divided() if (a, b) != pair]
    if not others:
        return f"{told}; these panels cannot be divided otherwise"
    possible = [o for o in others if _keeps_limits(job, temperatures, controller, o)]
    if not possible:
        return f"{told}; in other strings these panels would be outside the limits of the input"
    allowed = {o: _allowed_pct(job, temperatures, o) for o in possible}
    within = {o: pct for o, pct in allowed.items() if pct is not None}
    if not within:
        other = min(possible, key=lambda o: _worst_pct(job, temperatures, o))
        pct, most_pct = _worst_pct(job, temperatures, other), job.wiring_rules.most_mismatch_pct
        how = _in_words(other, words)
        if pct <= most_pct:
            return f"{told}; {how} would feed strings backwards with more than their own current"
        return f"{told}; {how} would lose {pct:.2f} %, above the {most_pct:g} % that the job allows"
    worth = {o: (round(pct, LOSS_DECIMALS), _strain(job, temperatures, o)) for o, pct in within.items()}
    other = min(worth, key=lambda o: worth[o])
    chosen_pct, how = _allowed_pct(job, temperatures, pair), _in_words(other, words)
    if chosen_pct is None:
        return told  # not planned but built: there is nothing to be said for it
    own = round(chosen_pct, LOSS_DECIMALS), _strain(job, temperatures, pair)
    if worth[other] <= own:
        return told
    if worth[other][0] > own[0]:
        return f"{told}; {how} would lose {worth[other][0]:.2f} %"
    return f"{told}; {how} {_first_worse(own[1], worth[other][1])}"


def _in_words(pair: Pair, words: Sequence[str]) -> str:
    """For example "two in series beside one alone"."""
    return " beside ".join(
        "one alone" if s.in_series == 1 else f"{words[s.in_series]} in series" for s in pair
    )


def _keeps_limits(job: Job, temperatures: Temperatures, controller: ControllerModel, pair: Pair) -> bool:
    """Whether each sort is one of the input's ways, and both together keep its current."""
    assert job.battery is not None
    most_v = job.wiring_rules.most_string_v
    for s in pair:
        most = dict(ways(s.model, controller, job.battery, temperatures, most_string_v=most_v))
        if s.in_parallel > most.get(s.in_series, 0):
            return False
    isc_a = sum(s.in_parallel * (s.model.isc_a or 0.0) for s in pair)
    return limits.design_isc_a(isc_a) <= controller.max_pv_isc_a * (1.0 + limits.TOLERANCE)


def _allowed_pct(job: Job, temperatures: Temperatures, pair: Pair) -> float | None:
    sorts: tuple[Sort, Sort] = (_sort(pair[0]), _sort(pair[1]))
    return allowed_loss_pct(job, temperatures, sorts, (pair[0].in_parallel, pair[1].in_parallel))


def _sort(shares: Shares) -> Sort:
    return shares.facet, shares.model, shares.in_series


def _worst_pct(job: Job, temperatures: Temperatures, pair: Pair) -> float:
    parts = [StringPart(s.model, s.in_series, s.in_parallel) for s in pair]
    heading_deg = None if job.site is None else job.site.heading_deg
    return worst_loss(parts, [job.facet(s.facet) for s in pair], temperatures, heading_deg)[0]


def _strain(job: Job, temperatures: Temperatures, pair: Pair) -> Strain:
    strung = [Strung(s.model, s.in_series, s.in_parallel) for s in pair]
    return strain(strung, temperatures.coldest_cell_c, job.cable)


def _first_worse(own: Strain, other: Strain) -> str:
    """What makes the other, which strains more, the worse: the first figure in which they differ."""
    return next(WORSE[f.name] for f in fields(Strain) if getattr(own, f.name) != getattr(other, f.name))
