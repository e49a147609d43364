"""The [[load]] and [inverter] tables: what draws from the battery, and what it is drawn through."""

from __future__ import annotations

from typing import cast

from rooflayout.job import Battery
from rooflayout.needs import Inverter, Load, When
from rooflayout.survey.controllers import EFFICIENCY
from rooflayout.survey.months import read_months
from rooflayout.survey.site import names_a_place
from rooflayout.survey.spans import HOURS_A_DAY, WATTS, Span
from rooflayout.survey.table import NOTHING, Table, named_once, table, tables
from rooflayout.survey.whereabouts import named_at
from rooflayout.survey.words import number_text

FORMS = "watts with hours, or watt_hours a day"
WATT_HOURS = Span("watt-hours a day above 0", 0.0, 1e6, above=True, too_high="watt-hours a day below 1000000")
IDLE = Span("watts from 0 to 500", 0.0, 500.0, hint="What it draws while nothing is plugged in.")
LEAST_W = 1.0  # less was likely typed in kW
LEAST_INVERTER_W = 3.0  # nobody runs an inverter for less
MOST_HOURS_OF_ONE = 18.0  # of a day or a night, as they are up to 60 degrees of latitude
LEAST_WH = 5.0  # less was likely typed in kWh


def read_loads(top: Table) -> tuple[Load, ...]:
    """Reads and checks all [[load]] tables; only sound ones are returned."""
    written = tables(top, "load", "load")
    named_once(written, "name")
    return tuple(load for entry in written if (load := _load(entry)) is not None)


def read_inverter(top: Table, loads: tuple[Load, ...]) -> Inverter:
    """Reads and checks [inverter]; notes one that no load runs through, and one that is only assumed."""
    inverter = table(top, "inverter")
    through = any(load.inverter for load in loads)
    if inverter is None:
        usual = Inverter()
        if through and not top.has("inverter"):
            text = f"The inverter is taken to pass on {number_text(usual.efficiency_pct)} % and to draw "
            text += "nothing while idle; its own figures belong in [inverter] efficiency and idle."
            top.findings.note("caution", "inverter-assumed", text)
        return usual
    inverter.check_keys("inverter")
    if not through and not top.has("load"):
        _note_unused(inverter, "the job has no [[load]]")
    elif not through and _none_is_through(top):
        _note_unused(inverter, "no load has inverter = true")
    usual = Inverter()
    return Inverter(
        efficiency_pct=inverter.number_or("efficiency", EFFICIENCY, usual.efficiency_pct),
        idle_w=inverter.number_or("idle", IDLE, usual.idle_w),
        hours_day=inverter.number_or("hours", HOURS_A_DAY, usual.hours_day),
    )


def note_idle(top: Table, battery: Battery | None) -> None:
    """Notes loads of which less can be told than they may be meant for."""
    if not top.has("load"):
        return
    if not names_a_place(top) and not top.has("climate"):
        text = "The loads are set beside no sun: the job does not say where it stands; latitude and "
        text += "longitude belong in [site]."
        top.findings.note("caution", "loads-without-place", text)
    if not top.has("battery") or (battery is not None and battery.capacity_ah is None):
        lacking = "[battery] capacity" if top.has("battery") else "[battery]"
        text = f"How often the battery runs empty cannot be told: the job has no {lacking}."
        top.findings.note("caution", "loads-without-battery", text)


def _note_unused(inverter: Table, why: str) -> None:
    text = f"[inverter] does nothing: {why}."
    inverter.findings.note("caution", "inverter-unused", text)


def _none_is_through(top: Table) -> bool:
    """True where every load, faulty ones too, does without the inverter as it is written."""
    written = top.values.get("load")
    entries = written if isinstance(written, list) else [written]
    return not any(isinstance(entry, dict) and entry.get("inverter") for entry in entries)


def _load(entry: Table) -> Load | None:
    entry.check_keys("load")
    name = entry.text("name", 'a name such as "fridge"', needed=True)
    watts, hours = entry.number("watts", WATTS), entry.number("hours", HOURS_A_DAY)
    watt_hours = entry.number("watt_hours", WATT_HOURS)
    inverter, months = entry.flag("inverter", False), read_months(entry)
    when = cast(When | None, entry.choice("when", ("day", "night")))
    _note_small(entry, watts, watt_hours, inverter)
    if when is not None and hours is not None and hours > MOST_HOURS_OF_ONE:
        text = f"{named_at(entry, 'hours')}: {number_text(hours)} hours a day are more than a {when} has; "
        text += "without when it counts as drawn evenly over day and night."
        entry.findings.note("caution", "load-longer-than-its-time", text)
    if not _is_one_form(entry):
        return None
    wh_day = watt_hours
    if wh_day is None and watts is not None and hours is not None:
        wh_day = watts * hours
    if wh_day is None or name is None:
        return None
    if watts is not None and wh_day > 24.0 * watts:
        most = number_text(24.0 * watts)
        expected = f"at most {most}, what {number_text(watts)} W take in 24 h"
        entry.problem(("watt_hours",), "watt_hours", number_text(wh_day), expected)
        return None
    return Load(name, wh_day, watts, inverter, months, when)


def _is_one_form(entry: Table) -> bool:
    """watts with hours, watt_hours, or watts (told for the hours that sun alone carries) with watt_hours."""
    watts, hours, watt_hours = (entry.has(key) for key in ("watts", "hours", "watt_hours"))
    if hours and watt_hours:
        given = "watts, hours and watt_hours" if watts else "hours and watt_hours"
        entry.problem(("watt_hours",), "", given, FORMS, "Leave hours out, or watt_hours.")
        return False
    if watt_hours or (watts and hours):
        return True
    if watts:
        hint = "How long it runs on a day: 0.5 is half an hour."
        entry.missing("hours", f"{HOURS_A_DAY.says}, beside the watts", hint)
    elif hours:
        entry.missing("watts", f"{WATTS.says}, beside the hours")
    else:
        entry.problem((), "watts", NOTHING, FORMS)
    return False


def _note_small(entry: Table, watts: float | None, watt_hours: float | None, inverter: bool) -> None:
    """Notes figures so small that they were likely typed in kW or kWh."""
    least = LEAST_INVERTER_W if inverter else LEAST_W
    if watts is not None and watts < least:
        text = (
            f"{named_at(entry, 'watts')}: {number_text(watts)} W is very little; kilowatts typed for watts?"
        )
        entry.findings.note("warning", "load-in-kilowatts", text)
    if watt_hours is not None and watt_hours < LEAST_WH:
        text = f"{named_at(entry, 'watt_hours')}: {number_text(watt_hours)} Wh a day is very little; "
        text += "kilowatt-hours typed for watt-hours?"
        entry.findings.note("warning", "load-in-kilowatts", text)
