"""What the owner reads: the right months, the right frequency, and no more digits than are meant."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rooflayout.energy import sentences
from rooflayout.job import Battery
from rooflayout.yields import MonthYield


def test_a_month_that_runs_empty() -> None:
    assert sentences.month_sentence(1, 412.3, 0.0, 903.0, 34.0) == (
        "In January the battery runs empty on one day in three; "
        "the sun gives 410 Wh of the 900 Wh a day that are drawn."
    )


def test_a_month_that_does_not() -> None:
    for ample, words in ((True, "does not run empty"), (False, "hardly ever runs empty")):
        assert sentences.month_sentence(6, 2134.0, 0.0, 903.0, 0.0, ample=ample) == (
            f"In June the battery {words}; on average the sun could give 2130 Wh a day, 900 Wh are drawn."
        )


def test_driving_is_named_where_it_helps() -> None:
    assert sentences.month_sentence(12, 300.0, 400.0, 903.0, 2.0) == (
        "In December the battery runs empty on one day in fifty; "
        "sun and driving together give 700 Wh of the 900 Wh a day that are drawn."
    )
    alone = sentences.month_sentence(12, 0.0, 400.0, 903.0, 50.0)
    assert "; driving gives 400 Wh of the 900 Wh" in alone


def test_less_sun_is_told_where_it_reads_otherwise() -> None:
    def said(empty: float, less: float | None) -> str:
        own = sentences.month_sentence(10, 3200.0, 0.0, 2860.0, empty, less_sun_pct=less, month_off_pct=22.4)
        return own.removeprefix("In October the battery ").partition(";")[0]

    if_less = " if the month has 22 % less sun)"
    assert said(0.7, 7.0) == f"hardly ever runs empty (but on one day in fifteen{if_less}"
    assert said(34.0, 50.0) == f"runs empty on one day in three (every other day{if_less}"
    assert said(0.9, 1.1) == f"hardly ever runs empty (but on one day in a hundred{if_less}"
    assert said(88.0, 92.0) == "runs empty nearly every day"
    assert said(0.0, 0.9) == "hardly ever runs empty"
    assert said(0.5, 0.9) == "hardly ever runs empty"
    assert said(34.0, None) == "runs empty on one day in three"


def test_what_is_not_reckoned_with_ends_the_sentence() -> None:
    def said(empty: float | None) -> str:
        return sentences.month_sentence(1, 412.3, 0.0, 903.0, empty, unreckoned="snow is not reckoned with")

    assert said(0.0).endswith(" that are drawn; snow is not reckoned with.")
    for worse in (100.0, None):  # it cannot run empty more often; nothing is said of the battery
        assert "snow" not in said(worse)


def test_the_year_with_less_sun() -> None:
    never, seldom = [0.0] * 12, [0.0] * 11 + [0.5]
    winter, longer = [30.0, *[0.0] * 11], [60.0, 5.0, *[0.0] * 10]
    begin = "If a month has 22 % less sun than estimated, the battery "
    for empty, less, end in (
        (never, never, "still hardly ever runs empty."),
        (never, seldom, "still hardly ever runs empty."),
        (seldom, seldom, "still hardly ever runs empty."),
        (never, winter, "runs empty in January, on one day in three."),
        (winter, longer, "runs empty in January and February: most often in January, on two days in three."),
    ):
        assert sentences.less_sun_sentence(empty, less, 22.4) == begin + end
    assert sentences.less_sun_sentence(winter, [33.0, *[0.0] * 11], 22.4) == ""
    ample = sentences.less_sun_sentence(never, never, 22.4, ample=True)
    assert ample == f"{begin}hardly ever runs empty."
    unknown = sentences.less_sun_sentence(never, winter, None)
    assert unknown.startswith("If a month has less sun than estimated, the battery runs empty")


def a_month(month: int, harvest: float, driving: float, spilled: float) -> MonthYield:
    return MonthYield(
        month, 3.0, 9.0, harvest, 0.0, driving, 400.0, 0.0, None, None, None, "", None, None, spilled
    )


def test_what_finds_the_battery_full() -> None:
    """6 kWh a day, but 3 kWh in January: by its days of 2.1 MWh a year 45 % of July's 186 kWh are 4 %."""

    def year(july: float, driving: float = 0.0) -> list[MonthYield]:
        harvests = (3000.0, *[6000.0] * 11)
        return [a_month(m, wh, driving, july if m == 7 else 0.0) for m, wh in enumerate(harvests, start=1)]

    assert sentences.full_sentence(year(45.0)) == (
        "Of what the panels could give over the year, 4 % finds the battery full, most in July: 45 %."
    )
    assert sentences.full_sentence(year(45.0, 10.0)).startswith("Of what sun and driving could give")
    assert sentences.full_sentence(year(8.0)) == (
        "Of what the panels could give 8 % finds the battery full in July, next to nothing over the year."
    )
    assert sentences.full_sentence(year(0.4)) == ""
    assert sentences.full_sentence([a_month(m, 0.0, 0.0, 0.0) for m in range(1, 13)]) == ""


def test_without_a_capacity_only_what_comes_and_goes() -> None:
    assert sentences.month_sentence(3, 412.3, 0.0, 903.0, None) == (
        "In March the sun gives 410 Wh of the 900 Wh a day that are drawn."
    )


def test_nothing_drawn_nothing_given_and_as_good_as_equal() -> None:
    assert sentences.month_sentence(3, 412.3, 0.0, 0.0, 0.0) == (
        "In March nothing is drawn; the sun could give 410 Wh a day."
    )
    assert sentences.month_sentence(12, 0.0, 0.0, 900.0, 100.0) == (
        "In December the battery runs empty every day; "
        "the sun gives nothing of the 900 Wh a day that are drawn."
    )
    for wh in (860.0, 900.0, 940.0):
        text = sentences.month_sentence(4, wh, 0.0, 900.0, 0.0)
        assert text.endswith("; the sun gives about the 900 Wh a day that are drawn.")


@pytest.mark.parametrize(
    ("pct", "words"),
    [
        (100.0, "every day"),
        (99.0, "nearly every day"),
        (90.0, "nearly every day"),
        (80.0, "on four days in five"),
        (66.7, "on two days in three"),
        (50.0, "every other day"),
        (41.0, "every other day"),
        (33.3, "on one day in three"),
        (25.0, "on one day in four"),
        (20.0, "on one day in five"),
        (14.3, "on one day in seven"),
        (10.0, "on one day in ten"),
        (7.9, "on one day in thirteen"),
        (6.0, "on one day in fifteen"),
        (5.0, "on one day in twenty"),
        (3.2, "on one day in thirty"),
        (1.0, "on one day in a hundred"),
    ],
)
def test_how_often(pct: float, words: str) -> None:
    assert sentences.how_often(pct) == words


MEANT = {words: 100.0 / n for n, words in sentences.ONE_IN.items()}
MEANT |= {"every other day": 50.0, "two days in three": 66.7, "four days in five": 80.0}
MEANT |= {"nearly every day": 93.0, "every day": 100.0}


@given(st.floats(1.0, 100.0))
def test_the_words_are_never_far_from_the_figure(pct: float) -> None:
    meant = MEANT[sentences.how_often(pct).removeprefix("on ")]
    assert meant / 1.45 < pct < meant * 1.45
    assert abs(meant - pct) < 11.0


def test_hardly_ever_is_not_never() -> None:
    assert sentences.runs_empty(0.0, ample=True) == "does not run empty"
    assert sentences.runs_empty(0.0) == "hardly ever runs empty"
    assert sentences.runs_empty(0.4, ample=True) == "hardly ever runs empty"
    assert sentences.runs_empty(0.4) == "hardly ever runs empty"
    assert sentences.runs_empty(20.0) == "runs empty on one day in five"


def test_the_year_names_its_months_round_the_turn() -> None:
    winter = [30.0, 12.0, *[0.0] * 8, 20.0, 34.0]
    assert sentences.year_sentence(winter) == (
        "The battery runs empty in November to February: most often in December, on one day in three."
    )
    assert sentences.year_sentence([100.0, 12.0, *[0.0] * 9, 99.8]) == (
        "The battery runs empty in December to February: most often in December and January, every day."
    )
    assert sentences.year_sentence([0.0] * 6 + [5.0] + [0.5] * 5) == (
        "The battery runs empty in July, on one day in twenty."
    )


def test_the_year_without_and_the_year_throughout() -> None:
    whole = "In a usual year the battery {}."
    assert sentences.year_sentence([0.0] * 12, ample=True) == whole.format("does not run empty")
    assert sentences.year_sentence([0.0] * 12) == whole.format("hardly ever runs empty")
    assert sentences.year_sentence([0.3] * 12) == "In a usual year the battery hardly ever runs empty."
    assert sentences.year_sentence([100.0] * 12) == "The battery runs empty every day in every month."
    assert sentences.year_sentence([50.0] * 11 + [80.0]) == (
        "The battery runs empty in every month: most often in December, on four days in five."
    )


@pytest.mark.parametrize(
    ("months", "words"),
    [
        ([0], "January"),
        ([0, 11], "December and January"),
        ([4, 5], "May and June"),
        ([0, 1, 10, 11], "November to February"),
        ([0, 1, 2, 6], "January to March and July"),
        ([0, 2, 4], "January, March and May"),
        ([m for m in range(12) if m != 6], "every month but July"),
        (list(range(12)), "every month"),
    ],
)
def test_spans_of_months(months: list[int], words: str) -> None:
    assert sentences.spans(months) == words


@pytest.mark.parametrize(
    ("ratio", "nominal_v", "text"),
    [
        (
            2.2,
            12.0,
            "2.2 W for each Ah of the battery at 12 V; {lead} are 2 to 2.5 W (common practice).",
        ),
        (
            1.0,
            24.0,
            "2 W for each Ah of the battery at 24 V; {lead} are 4 to 5 W (common practice): {large}.",
        ),
        (
            3.0,
            48.0,
            "12 W for each Ah of the battery at 48 V; {lead} are 8 to 10 W (common practice): {small}.",
        ),
    ],
)
def test_the_ratio_beside_the_trades_usual(ratio: float, nominal_v: float, text: str) -> None:
    words = {"large": "the battery is large for them", "small": "the battery is small for them"}
    words["lead"] = "usual for lead batteries"
    expected = f"The panels have {text.format(**words)}"
    assert sentences.ratio_sentence(ratio, Battery(nominal_v, 1.2 * nominal_v, 100.0)) == expected
    agm = Battery(nominal_v, 1.2 * nominal_v, 100.0, chemistry="agm")
    assert sentences.ratio_sentence(ratio, agm) == expected


def test_the_ratio_of_lithium_is_not_judged_by_the_rule_for_lead() -> None:
    lithium = Battery(24.0, 28.8, 100.0, chemistry="lithium")
    for ratio in (0.5, 1.0, 4.0):
        assert sentences.ratio_sentence(ratio, lithium) == (
            f"The panels have {2.0 * ratio:g} W for each Ah of the battery at 24 V; 4 to 5 W (common "
            "practice) are usual for lead batteries, of which less may be drawn than of lithium."
        )


def test_what_is_taken_for_granted_of_the_battery() -> None:
    assert sentences.battery_sentence(Battery(12.0, 14.4, 100.0, chemistry="agm")) == (
        "Of the battery's capacity 50 % counts as usable (as is usual for AGM), "
        "and of what is put in, 85 % comes back (usual for AGM)."
    )
    own = sentences.battery_sentence(Battery(12.0, 14.4, 100.0, chemistry="lithium", usable_pct=80.0))
    assert "80 % counts as usable (as the job says), and of what is put in, 96 %" in own
    assert "the job does not say what it is" in sentences.battery_sentence(Battery(12.0, 14.4))
