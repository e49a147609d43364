"""Words in messages: short, whatever was typed."""

from __future__ import annotations

from rooflayout.survey.words import did_you_mean


def test_a_hint_does_not_repeat_a_very_long_name() -> None:
    long = "9" * 500
    assert len(did_you_mean("Wren", [long])) < 100
    assert len(did_you_mean(long[1:], [long])) < 100


def test_a_hint_names_the_likeliest_word() -> None:
    assert did_you_mean("mian", ["main", "front slope"]) == 'Did you mean "main"?'
