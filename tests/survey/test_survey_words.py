"""Words in messages: short, whatever was typed."""

from __future__ import annotations

import pytest

from rooflayout.survey.spans import Span
from rooflayout.survey.words import did_you_mean, guess


def test_a_hint_does_not_repeat_a_very_long_name() -> None:
    long = "9" * 500
    assert len(did_you_mean("Wren", [long])) < 100
    assert len(did_you_mean(long[1:], [long])) < 100


def test_a_hint_names_the_likeliest_word() -> None:
    assert did_you_mean("mian", ["main", "front slope"]) == 'Did you mean "main"?'


def test_the_hint_for_a_share_given_as_a_percentage_only_where_that_fits() -> None:
    span = Span("a percentage from 50 to 100", 50.0, 100.0, per_cent=True)
    assert span.hint_for(0.97) == "In per cent: 97, not 0.97."
    assert [span.hint_for(n) for n in (0.3, 1.0, 30.0, 103.0, 0.0)] == [""] * 5


@pytest.mark.parametrize(
    ("word", "known", "meant"),
    [
        ("ship", ("trailer", "motor", "boat"), "boat"),
        ("aft", ("front", "rear", "left", "right"), "rear"),
        ("starboard", ("front", "rear", "left", "right"), "right"),
        ("Port", ("front", "rear", "left", "right"), "left"),
    ],
)
def test_words_of_boats(word: str, known: tuple[str, ...], meant: str) -> None:
    assert guess(word, known) == meant
