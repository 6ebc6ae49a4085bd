"""Reasons can be counted by their kind, whatever numbers they name."""

import pytest

from devices.reading import Quantity
from service.quality.doubt import IN_WORDS, Doubt, counted, doubts_in
from service.quality.judge import judge
from tests.service.quality.test_judge import reading


@pytest.mark.parametrize("doubt", Doubt)
def test_every_kind_has_words_for_a_count(doubt: Doubt) -> None:
    assert IN_WORDS[doubt]


def test_the_reasons_of_a_value_alone_are_known_again() -> None:
    assert doubts_in(judge(reading(130.0)).reason) == (Doubt.IMPOSSIBLE,)
    assert doubts_in(judge(reading(70.0)).reason) == (Doubt.RARE,)
    assert doubts_in(judge(reading(0.5, Quantity.MAINS)).reason) == (Doubt.IMPOSSIBLE,)


def test_a_value_of_two_reasons_counts_for_both() -> None:
    told = [
        ("perhaps stuck: 5 °C without the least change for 60 minutes", 3),
        ("perhaps stuck: 5 °C without the least change for 61 minutes", 1),
        ("a sudden jump: from 1 to 9 °C within 60 s; looks like °F: 50.0 would be 10.0 °C", 1),
        ("", 7),
    ]
    assert counted(told) == {Doubt.STUCK: 4, Doubt.JUMP: 1, Doubt.FAHRENHEIT: 1}
