"""The [driving] table: what the engine charges."""

from __future__ import annotations

from rooflayout.job import Battery
from rooflayout.needs import Driving
from rooflayout.survey.months import read_months
from rooflayout.survey.spans import HOURS_A_DAY, Span
from rooflayout.survey.table import Table, table
from rooflayout.survey.words import number_text

CURRENT = Span("amperes above 0, at most 1000", 0.0, 1000.0, above=True)
HOURS_HINT = "The mean over all days: 3 hours once a week are 0.43."
CURRENT_HINT = "What reaches the battery while the engine runs."
LEAST_A = 1.0


def read_driving(top: Table, battery: Battery | None) -> Driving | None:
    """Reads and checks [driving]; None when there is none or a figure is missing or wrong."""
    driving = table(top, "driving")
    if driving is None:
        return None
    driving.check_keys("driving")
    hours = driving.number("hours", HOURS_A_DAY, needed=True, hint=HOURS_HINT)
    current = driving.number("current", CURRENT, needed=True, hint=CURRENT_HINT)
    months = read_months(driving)
    if not top.has("battery"):
        text = "[driving] does nothing: the job has no [battery] that it charges."
        driving.findings.note("caution", "driving-without-battery", text)
    if current is not None and current < LEAST_A:
        text = f"A charge current of {number_text(current)} A while driving is very little; "
        text += "it is in amperes, not a share of the capacity."
        driving.findings.note("warning", "driving-current-implausible", text)
    most = None if battery is None else battery.most_charge_a
    if current is not None and most is not None and current > most:
        text = f"While driving {number_text(current)} A reach the battery, more than the "
        text += f"{number_text(most)} A of [battery] most_charge."
        driving.findings.note("warning", "driving-above-most-charge", text)
    return None if hours is None or current is None else Driving(hours, current, months)
