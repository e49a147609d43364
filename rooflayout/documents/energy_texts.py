"""What the sheets say beside the charts: year, battery, controllers, what the figures rest on."""

from __future__ import annotations

from collections.abc import Sequence

from ..energy.lead import slow_end
from ..energy.margin import year_is_ample
from ..energy.notes import notes_on
from ..energy.sentences import less_sun_sentence
from ..energy.sizing import REFILL_FROM_PCT
from ..energy.uncertainty import within_words
from ..job import Job
from ..plan import Plan
from ..rounding import days_words, hours_words, wh_words
from ..yields import Energy
from .arrange import strip_box
from .blocks import TextBlock
from .lettering import NORMAL, clean, em_mm, line_mm, number, shorten, wrap
from .paper import Paper

ESTIMATE = "An estimate from long means: no year is like the one before."
_BATTERY = ("battery-full", "lead-sulphation", "lithium-mornings", "battery-figures", "watts-per-ah")
_CONTROLLERS = ("clipped-over-the-year",)
_GRANTED = (
    *("harvest-losses", "colder-place", "frost", "assumed-heights", "portable-harvest"),
    "portable-not-counted",
)


def year_words(energy: Energy) -> tuple[str, str]:
    """The year's harvest, and the place whose sun it is and how far to trust it."""
    known = within_words(energy)
    head = f"{wh_words(energy.wh_year)} a year from the roof panels{f', {known}' if known else ''}."
    sun = f"{energy.sun_kwh_m2_day:.1f} kWh/m² a day on the level"
    where = f"{clean(energy.place)}: {sun}" if energy.place else f"Sun: {sun}"
    within = f"The sun alone is known to {number(energy.uncertainty_pct)} %."
    return head, f"{where}. {within} {ESTIMATE}"


def battery_block(job: Job, plan: Plan) -> list[TextBlock]:
    """Usable energy, autonomy, refill, less sun than estimated, what finds it full and watts per Ah."""
    energy = plan.energy
    if energy is None:
        return []
    said = []
    if energy.usable_wh is not None:
        said.append(f"Usable: {wh_words(energy.usable_wh)}.")
    if energy.days_without_sun is not None:
        days = days_words(energy.days_without_sun)
        said.append(f"From full to empty without sun or driving: {days}, in the month of most demand.")
    if energy.refill_hours is not None:
        hours, late = hours_words(energy.refill_hours), slow_end(job.battery)
        said.append(
            f"From {number(REFILL_FROM_PCT)} % of the usable capacity to full: {hours} of full sun from"
            f" overhead (1000 W/m² on the level) with nothing else drawn{f'; {late}' if late else ''}."
        )
    empty = [m.empty_pct for m in energy.months if m.empty_pct is not None]
    less = [m.empty_less_sun_pct for m in energy.months if m.empty_less_sun_pct is not None]
    if len(less) == len(empty) == len(energy.months):
        off_pct, ample = energy.month_uncertainty_pct, year_is_ample(energy)
        said += [text] if (text := less_sun_sentence(empty, less, off_pct, ample)) else []
    return _block("Battery", [*said, *_notes(job, plan, _BATTERY)])


def controllers_block(job: Job, plan: Plan) -> list[TextBlock]:
    """What each controller's charge current passes over the year."""
    return _block("Controllers through the year", _notes(job, plan, _CONTROLLERS))


def granted_block(job: Job, plan: Plan) -> list[TextBlock]:
    """What the figures rest on: where the sun's are from, and what is taken for granted."""
    if plan.energy is None:
        return []
    source = clean(plan.energy.source).rstrip(".")
    said = ([f"Sun and air: {source}."] if source else []) + _notes(job, plan, _GRANTED)
    return _block("What the figures rest on", said)


def draw_strip(paper: Paper, head: str, words: str) -> None:
    """A bold sentence and a few more left of the title block."""
    strip = strip_box(paper.size)
    y = strip.y1
    for text, bold in ((head, True), (words, False)):
        room = max(0, int((y - strip.y0) // line_mm(NORMAL)))
        for line in shorten(wrap(text, NORMAL, strip.width, bold), room, NORMAL, strip.width, bold)[:room]:
            paper.text(strip.x0, y - 0.8 * em_mm(NORMAL), line, NORMAL, bold=bold)
            y -= line_mm(NORMAL)
        y -= 0.8


def _notes(job: Job, plan: Plan, codes: Sequence[str]) -> list[str]:
    """The estimate's notes of some codes, in their order."""
    assert plan.energy is not None
    return [clean(n.text) for n in notes_on(job, plan.energy, plan.wiring) if n.code in codes]


def _block(title: str, sentences: Sequence[str]) -> list[TextBlock]:
    return [TextBlock(title, tuple(("", s) for s in sentences), NORMAL)] if sentences else []
