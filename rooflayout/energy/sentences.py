"""What the figures mean, in sentences for the owner; rounded, since no year is like the one before."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rooflayout.energy.battery import charge_efficiency, usable_pct
from rooflayout.energy.sizing import PER_AH_AT_V, USUAL_W_PER_AH
from rooflayout.job import Battery
from rooflayout.months import DAYS_IN_MONTH, MONTHS
from rooflayout.rounding import wh_words
from rooflayout.yields import MonthYield

HARDLY_EVER_PCT = 1.0  # of days or fewer
HARDLY_EVER = "hardly ever runs empty"
EVERY_DAY_PCT = 99.5
LITTLE_PCT = 1.0  # of what could come in: not worth a sentence
ONE_IN = {2: "every other day", 3: "one day in three", 4: "one day in four", 5: "one day in five"}
ONE_IN |= {
    7: "one day in seven",
    10: "one day in ten",
    13: "one day in thirteen",
    15: "one day in fifteen",
    20: "one day in twenty",
}
ONE_IN |= {30: "one day in thirty", 50: "one day in fifty", 100: "one day in a hundred"}
OFTEN_PCT = ((57.0, "every other day"), (72.0, "two days in three"), (85.0, "four days in five"))
ABOUT_EQUAL = 0.05  # closer than this to what is drawn is as good as equal


def month_sentence(
    month: int,
    harvest_wh_day: float,
    driving_wh_day: float,
    demand_wh_day: float,
    empty_pct: float | None,
    *,
    less_sun_pct: float | None = None,
    month_off_pct: float | None = None,
    unreckoned: str = "",
    ample: bool = False,
) -> str:
    """How the battery fares in a month (1 to 12) and what comes in beside what is drawn.

    harvest_wh_day counts roof and portable panels; empty_pct is None where the battery's capacity is not
    known. less_sun_pct: days on which it runs empty with month_off_pct less sun than estimated; told where it
    reads otherwise. unreckoned: what is left out, in words; told unless the battery runs empty every day
    anyway. ample: see margin.py; only then is it said that the battery does not run empty.
    """
    balance = _balance(harvest_wh_day, driving_wh_day, demand_wh_day)
    within = f"In {MONTHS[month - 1]}"
    if demand_wh_day <= 0.0:
        return f"{within} nothing is drawn; {balance}."
    if empty_pct is None:
        return f"{within} {balance}."
    worse = _with_less_sun(empty_pct, less_sun_pct, month_off_pct)
    left_out = f"; {unreckoned}" if unreckoned and empty_pct < EVERY_DAY_PCT else ""
    return f"{within} the battery {runs_empty(empty_pct, ample)}{worse}; {balance}{left_out}."


def _with_less_sun(empty_pct: float, less_sun_pct: float | None, month_off_pct: float | None) -> str:
    """In brackets how often it runs empty with less sun, where that reads otherwise.

    Between never and hardly ever no difference is made.
    """
    if less_sun_pct is None or less_sun_pct <= HARDLY_EVER_PCT:
        return ""
    if empty_pct > HARDLY_EVER_PCT and how_often(less_sun_pct) == how_often(empty_pct):
        return ""
    but = "but " if empty_pct <= HARDLY_EVER_PCT else ""
    return f" ({but}{how_often(less_sun_pct)} if the month has {less_sun(month_off_pct)})"


def less_sun(month_off_pct: float | None) -> str:
    """ "22 % less sun"; without a figure where it is not known."""
    return "less sun" if month_off_pct is None else f"{month_off_pct:.0f} % less sun"


def year_sentence(empty_pct: Sequence[float], ample: bool = False) -> str:
    """In which months the battery runs empty, and in which most, from the share of days by month.

    ample: every month is (margin.py).
    """
    if max(empty_pct) <= HARDLY_EVER_PCT:
        return f"In a usual year the battery {runs_empty(max(empty_pct), ample)}."
    return f"The battery {_in_months(empty_pct)}."


def less_sun_sentence(
    empty_pct: Sequence[float],
    less_sun_pct: Sequence[float],
    month_off_pct: float | None,
    ample: bool = False,
) -> str:
    """The same with every month's sun less by month_off_pct; empty where it reads no worse.

    Said too where the battery holds out even then: that is what the owner asks. Never that it does not run
    empty: how much it has to spare then is not known. ample: as for year_sentence.
    """
    begin = f"If a month has {less_sun(month_off_pct)} than estimated, the battery"
    if max(less_sun_pct) <= HARDLY_EVER_PCT:
        still = "" if ample and max(empty_pct) <= 0.0 else "still "
        return f"{begin} {still}{HARDLY_EVER}."
    if max(empty_pct) > HARDLY_EVER_PCT and _in_months(empty_pct) == _in_months(less_sun_pct):
        return ""
    return f"{begin} {_in_months(less_sun_pct)}."


def full_sentence(months: Sequence[MonthYield]) -> str:
    """For how much of what could come in the full battery has no room: over the year, and when most."""
    days = [DAYS_IN_MONTH[(m.month - 1) % 12] for m in months]
    given = [
        (m.harvest_wh_day + m.portable_wh_day + m.driving_wh_day) * d
        for m, d in zip(months, days, strict=True)
    ]
    spilled = [m.spilled_pct or 0.0 for m in months]
    if sum(given) <= 0.0:
        return ""
    year = sum(pct * wh for pct, wh in zip(spilled, given, strict=True)) / sum(given)
    most = max(range(len(months)), key=lambda i: spilled[i])
    if spilled[most] < LITTLE_PCT:
        return ""
    gives = "sun and driving" if any(m.driving_wh_day > 0.0 for m in months) else "the panels"
    if year < LITTLE_PCT:
        text = f"Of what {gives} could give {spilled[most]:.0f} % finds the battery full in"
        return f"{text} {MONTHS[most]}, next to nothing over the year."
    text = f"Of what {gives} could give over the year, {year:.0f} % finds the battery full"
    return f"{text}, most in {MONTHS[most]}: {spilled[most]:.0f} %."


def _in_months(empty_pct: Sequence[float]) -> str:
    """ "runs empty in May and June: most often in June, on one day in ten"; some month must be emptier than
    HARDLY_EVER_PCT."""
    months = [m for m in range(12) if empty_pct[m] > HARDLY_EVER_PCT]
    most = max(empty_pct)
    often, worst = how_often(most), [m for m in months if round(empty_pct[m]) == round(most)]
    if len(months) == 12 and how_often(min(empty_pct)) == often:
        return f"runs empty {often} in every month"
    if worst == months:
        return f"runs empty in {spans(months)}, {often}"
    return f"runs empty in {spans(months)}: most often in {spans(worst)}, {often}"


def runs_empty(empty_pct: float, ample: bool = False) -> str:
    """What the battery does, for a share of days in %; never is said only with ample to spare."""
    if empty_pct <= 0.0 and ample:
        return "does not run empty"
    if empty_pct <= HARDLY_EVER_PCT:
        return HARDLY_EVER
    return f"runs empty {how_often(empty_pct)}"


def how_often(pct: float) -> str:
    """A share of days above 0 % in words: "on one day in three", "nearly every day"."""
    if pct >= EVERY_DAY_PCT:
        return "every day"
    if pct > 85.0:
        return "nearly every day"
    if pct > 40.0:
        words = next(words for up_to, words in OFTEN_PCT if pct <= up_to)
    else:
        words = ONE_IN[min(ONE_IN, key=lambda n: abs(math.log(n * pct / 100.0)))]
    return words if words.startswith("every") else f"on {words}"


def spans(months: Sequence[int]) -> str:
    """Months (0 to 11) in words, those in a row as "November to February"; the year goes round."""
    own = set(months)
    if len(own) == 12:
        return "every month"
    if len(own) == 11:
        return f"every month but {MONTHS[next(m for m in range(12) if m not in own)]}"
    words = []
    for first in sorted(m for m in own if (m - 1) % 12 not in own):
        length = next(n for n in range(1, 13) if (first + n) % 12 not in own)
        last = MONTHS[(first + length - 1) % 12]
        words += [MONTHS[first]] if length == 1 else [MONTHS[first], last]
        if length > 2:
            words[-2:] = [f"{MONTHS[first]} to {last}"]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def battery_sentence(battery: Battery) -> str:
    """What is taken for granted of the battery."""
    given = "as the job says" if battery.usable_pct is not None else f"as is usual for {_kind(battery)}"
    back = 100.0 * charge_efficiency(battery)
    text = f"Of the battery's capacity {usable_pct(battery):g} % counts as usable ({given}), "
    return text + f"and of what is put in, {back:g} % comes back (usual for {_kind(battery)})."


def ratio_sentence(watts_per_ah: float, battery: Battery) -> str:
    """Panel watts beside the battery, next to what the trade usually fits to lead batteries.

    watts_per_ah counts Ah at 12 V; the sentence counts them at the battery's own voltage. Lithium gives more
    of each Ah, and no usual range is known for it: it is not judged.
    """
    nominal_v = battery.nominal_v
    own = nominal_v / PER_AH_AT_V
    low, high = (w * own for w in USUAL_W_PER_AH)
    ratio = watts_per_ah * own
    text = f"The panels have {ratio:.2g} W for each Ah of the battery at {nominal_v:g} V; "
    usual = f"{low:g} to {high:g} W (common practice)"
    if battery.chemistry == "lithium":
        return f"{text}{usual} are usual for lead batteries, of which less may be drawn than of lithium."
    text += f"usual for lead batteries are {usual}"
    if ratio < low:
        return f"{text}: the battery is large for them."
    return f"{text}: the battery is small for them." if ratio > high else f"{text}."


def _balance(harvest_wh_day: float, driving_wh_day: float, demand_wh_day: float) -> str:
    """What comes in beside what is drawn."""
    comes_wh = harvest_wh_day + driving_wh_day
    comes, drawn = wh_words(comes_wh), wh_words(demand_wh_day)
    if driving_wh_day <= 0.0:
        giver, gives = "the sun", "gives"
    elif harvest_wh_day <= 0.0:
        giver, gives = "driving", "gives"
    else:
        giver, gives = "sun and driving together", "give"
    if demand_wh_day <= 0.0:
        return f"{giver} could give {comes} a day"
    if comes_wh <= 0.0:
        return f"{giver} {gives} nothing of the {drawn} a day that are drawn"
    if comes == drawn or abs(comes_wh / demand_wh_day - 1.0) <= ABOUT_EQUAL:
        return f"{giver} {gives} about the {drawn} a day that are drawn"
    if comes_wh > demand_wh_day:
        return f"on average {giver} could give {comes} a day, {drawn} are drawn"
    return f"{giver} {gives} {comes} of the {drawn} a day that are drawn"


def _kind(battery: Battery) -> str:
    """The battery's chemistry in words."""
    if battery.chemistry is None:
        return "a lead battery; the job does not say what it is"
    return {"lithium": "lithium", "gel": "gel", "agm": "AGM", "flooded": "flooded lead"}[battery.chemistry]
