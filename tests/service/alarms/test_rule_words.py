"""Short words for every kind of rule."""

import pytest

from service.alarms.rule_words import RULE_WORDS, is_silence, rule_words
from service.rules.rationales import RATIONALES


@pytest.mark.parametrize("kind", RATIONALES)
def test_every_kind_of_rule_has_short_words_that_fit_the_wall(kind: str) -> None:
    words = RULE_WORDS[kind]
    assert len(words.verdict) <= 12
    assert len(words.state) <= 12
    assert len(words.advice) <= 15
    assert words.name


def test_a_limit_has_its_words_from_its_quantity() -> None:
    assert rule_words("shed-cold") is None
    assert not is_silence("shed-cold")


def test_a_kind_without_words_has_none() -> None:
    assert rule_words("nothing-like-it:shed") is None


def test_what_is_not_heard_is_silence_and_a_wrong_clock_is_not() -> None:
    assert is_silence("overdue:th-2")
    assert is_silence("broker:shed")
    assert not is_silence("clock:th-2")
