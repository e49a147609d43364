"""Which strings need fuses, and the standard sizes that serve. Currents in A, at STC where Isc."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rooflayout.job import PanelModel
from rooflayout.wiring.limits import TOLERANCE, design_isc_a

# gPV fuses of IEC 60269-6, 10 x 38 mm; from memory
STRING_FUSES_A = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 16.0, 20.0, 25.0, 30.0)
LEAST_OF_ISC, MOST_OF_ISC = 1.5, 2.4  # IEC 62548, from memory: what a string fuse is of the panel's Isc
NEC_OF_ISC = 1.25 * 1.25  # NEC 690.9(B), from memory: 125 % of a current that is 125 % of Isc

# Blade and bolted fuses of ISO 8820-3 and ISO 8820-5; from memory
BATTERY_FUSES_A = (
    *(5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0, 125.0, 150.0),
    *(175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0, 500.0),
)
CONTINUOUS_FACTOR = 1.25  # NEC 215.3 and 240, continuous load; from memory


@dataclass(frozen=True, slots=True)
class FuseChoice:
    """A fuse size in A; None when no standard size serves, and then why says so.

    why beside a size: what of the rules it does not keep.
    """

    size_a: float | None
    why: str = ""


def feed_a(others_isc_a: Sequence[float]) -> float:
    """What the other strings of a tracker can feed into a faulty one: 1.25 times each one's Isc."""
    return sum(design_isc_a(isc_a) for isc_a in others_isc_a)


def needs_fuse(panel: PanelModel, others_isc_a: Sequence[float]) -> bool:
    """limits.needs_string_fuses for strings that need not be alike: others_isc_a is each other string's Isc.

    True when what they feed in exceeds the panel's largest series fuse; without a rating in the catalogue
    MOST_OF_ISC times its own Isc counts, so that three alike need fuses and two do not.
    """
    rating_a = (
        MOST_OF_ISC * (panel.isc_a or 0.0) if panel.max_series_fuse_a is None else panel.max_series_fuse_a
    )
    return feed_a(others_isc_a) > rating_a * (1.0 + TOLERANCE)


def string_fuse(isc_a: float, max_series_fuse_a: float | None) -> FuseChoice:
    """The smallest gPV size from 1.56 to 2.4 times Isc, and at most the panel's largest series fuse.

    Sources: IEC 62548 (1.5 to 2.4 times) and NEC 690.9(B) (1.25 x 1.25), both from memory. Where no size
    keeps both, the largest from 1.5 times on that the panel allows. max_series_fuse_a None: the catalogue
    does not say.
    """
    most_a, limit = MOST_OF_ISC * isc_a, f"{MOST_OF_ISC:g} times Isc"
    if max_series_fuse_a is not None and max_series_fuse_a < most_a:
        most_a, limit = max_series_fuse_a, "the panel's largest series fuse"
    both = _sizes_a(NEC_OF_ISC * isc_a, most_a)
    if both:
        return FuseChoice(both[0])
    least_a = LEAST_OF_ISC * isc_a
    serving = _sizes_a(least_a, most_a)
    if serving:
        size_a = serving[-1]
        kept = f"{size_a:g} A is {size_a / isc_a:.2f} times Isc, enough by IEC 62548 ({LEAST_OF_ISC:g})"
        text = f"{kept}, too little by NEC 690.9(B) ({NEC_OF_ISC:.2f}): no standard size is up to {limit}"
        return FuseChoice(size_a, text)
    span = f"from {least_a:.1f} A ({LEAST_OF_ISC:g} times Isc) to {most_a:.1f} A ({limit})"
    return FuseChoice(None, f"no standard string fuse {span}")


def _sizes_a(least_a: float, most_a: float) -> list[float]:
    """The string fuses in a span, the smallest first."""
    return [a for a in STRING_FUSES_A if least_a * (1.0 - TOLERANCE) <= a <= most_a * (1.0 + TOLERANCE)]


def battery_fuse(max_charge_a: float) -> FuseChoice:
    """The next standard size from 1.25 times what the controller can charge with (NEC, from memory)."""
    least_a = CONTINUOUS_FACTOR * max_charge_a
    for size_a in BATTERY_FUSES_A:
        if size_a >= least_a * (1.0 - TOLERANCE):
            return FuseChoice(size_a)
    largest_a = BATTERY_FUSES_A[-1]
    return FuseChoice(
        None,
        f"no standard fuse from {least_a:.0f} A ({CONTINUOUS_FACTOR:g} times {max_charge_a:g} A); "
        f"the largest is {largest_a:g} A",
    )
