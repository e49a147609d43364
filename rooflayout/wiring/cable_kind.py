"""Which cable the sizes are for, and how it has to lie: what whoever buys and pulls it must know."""

from __future__ import annotations

from rooflayout.job import Job
from rooflayout.plan import Note, Wiring
from rooflayout.wiring.drafts import inside_laid, roof_laid


def kind_notes(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """One note on insulation, air and bundles that the sizes count on.

    A caution where the job gives no air round the cables, or where more cables may lie together than it says.
    """
    if not wiring.runs:
        return ()
    bundles = bundle_words(job, wiring)
    assumed = job.cable.ambient_c is None or bundles
    text = f"Cable sizes count on {laid_words(job, wiring)}. Cable whose insulation stands less carries less."
    if job.cable.ambient_c is None:
        text += " Where they lie hotter, as beside an engine or in a closed locker, give [cable] ambient."
    return (Note("caution" if assumed else "info", "cable-kind", f"{text}{bundles}"),)


def laid_words(job: Job, wiring: Wiring) -> str:
    """Insulation class, air inside and on the roof, and bundle, in words."""
    inside, roof = inside_laid(job, wiring), roof_laid(job, wiring)
    source = "the hottest air, as the job gives none" if job.cable.ambient_c is None else "as the job says"
    return (
        f"insulation that stands {inside.insulation_c:g} °C, air of {inside.ambient_c:.0f} °C round the "
        f"cables ({source}), {roof.ambient_c:.0f} °C on the roof, and {inside.bundled} loaded "
        "conductors together"
    )


def bundle_words(job: Job, wiring: Wiring) -> str:
    """A sentence where more conductors go from the gland to the controllers than the job has in a bundle."""
    inside = [r for r in wiring.runs if r.kind == "array" or (r.kind == "string" and r.isolator)]
    if 2 * len(inside) <= max(2, job.cable.bundled):
        return ""
    return (
        f" {len(inside)} cables go from the gland to the controllers: where they lie bunched, give "
        f"[cable] bundled = {2 * len(inside)}."
    )
