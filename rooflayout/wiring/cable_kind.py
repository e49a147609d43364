"""Which cable the sizes are for, and how it has to lie: what whoever buys and pulls it must know."""

from __future__ import annotations

from rooflayout.job import Job
from rooflayout.plan import Note, Wiring
from rooflayout.wiring.drafts import CUPBOARD_K, inside_laid, roof_laid

# ISO 10133 holds for installations up to 50 V DC, and table 5 of 33 CFR 183.425 below 50 V: both read
BOAT_MOST_V = 50.0
USUAL_ROOF_MM2 = 4.0  # what plugs of solar panels are made for; common practice, no source


def kind_notes(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """One note on insulation, air and bundles that the sizes count on.

    A caution where the job gives no air round the cables, or where more cables may lie together than it says.
    """
    if not wiring.runs:
        return ()
    bundles = bundle_words(job, wiring)
    text = f"Cable sizes are for {laid_words(job, wiring)}{bundles}."
    if job.cable.ambient_c is None:
        text += (
            " Where it is hotter or cooler, as beside an engine or in the open, give [cable] ambient. Many "
            "controllers charge less in such heat: see their data sheets."
        )
    assumed = job.cable.ambient_c is None or bundles
    return (Note("caution" if assumed else "info", "cable-kind", text),)


def laid_words(job: Job, wiring: Wiring) -> str:
    """Insulation class, air inside and on the roof, and bundle, in words."""
    inside, roof = inside_laid(job, wiring), roof_laid(job, wiring)
    assumed = f"assumed: a closed cupboard, {CUPBOARD_K:g} K above the hottest outside; common practice"
    source = assumed if job.cable.ambient_c is None else "as the job says"
    return (
        f"insulation that stands {inside.insulation_c:g} °C, air of {inside.ambient_c:.0f} °C inside "
        f"({source}), {roof.ambient_c:.0f} °C on the roof, {inside.bundled} loaded conductors together"
    )


def bundle_words(job: Job, wiring: Wiring) -> str:
    """Half a sentence where more conductors go on from the gland than the job has in a bundle."""
    inside = [r for r in wiring.runs if r.kind == "array" or (r.kind == "string" and r.isolator)]
    if 2 * len(inside) <= max(2, job.cable.bundled):
        return ""
    return f"; for {len(inside)} cables bunched behind the gland give [cable] bundled = {2 * len(inside)}"


def boat_notes(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """A caution on a boat's strings above BOAT_MOST_V, for which the tables of current were not made."""
    if job.vehicle is None or job.vehicle.kind != "boat" or not wiring.runs:
        return ()
    names = [s.string for s in wiring.strings if s.voc_cold_v > BOAT_MOST_V]
    if not names:
        return ()
    text = (
        f"{', '.join(names)} may be above {BOAT_MOST_V:g} V DC: on a boat beyond ISO 10133 and the table of "
        f"33 CFR 183.425, on which the sizes rest; [wiring] most_string_v = {BOAT_MOST_V:g} keeps within."
    )
    return (Note("caution", "boat-above-50-v", text),)


def thin_notes(wiring: Wiring) -> tuple[Note, ...]:
    """A note on cables of strings that are thinner than USUAL_ROOF_MM2."""
    names = [r.run for r in wiring.runs if r.kind == "string" and r.size_mm2 and r.size_mm2 < USUAL_ROOF_MM2]
    if not names:
        return ()
    text = (
        f"{', '.join(names)} would do below {USUAL_ROOF_MM2:g} mm², for which most panels' plugs are made "
        f"(common practice): [cable] least_roof_mm2 = {USUAL_ROOF_MM2:g} takes that at least."
    )
    return (Note("info", "roof-cable-thin", text),)
