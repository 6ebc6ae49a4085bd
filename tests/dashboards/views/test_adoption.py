"""How often a sensor is said to send, and what a place is suggested by."""

from datetime import timedelta

import pytest

from dashboards.views.adoption import (
    interval_in_words,
    interval_suggested,
    read_interval,
    rounded_up,
)
from service.errors import ConfigurationError
from service.settings.written import duration


@pytest.mark.parametrize(
    ("heard_s", "words"),
    [
        (0.4, "1 s"),
        (9.6, "10 s"),
        (10.05, "10 s"),
        (31, "30 s"),
        (33, "35 s"),
        (60.4, "60 s"),
        (118, "2 min"),
        (121, "2 min"),
        (300, "5 min"),
        (3600, "60 min"),
        (7190, "2 h"),
        (90_000, "25 h"),
        (30 * 86_400, "7 d"),
    ],
)
def test_a_time_between_messages_is_said_as_people_say_it(heard_s: float, words: str) -> None:
    assert interval_in_words(rounded_up(timedelta(seconds=heard_s))) == words


@pytest.mark.parametrize("heard_s", [1, 7, 44, 61, 599, 3601, 50_000])
def test_what_is_suggested_is_hardly_ever_shorter_than_what_was_heard(heard_s: float) -> None:
    # A tenth is far from the three intervals after which it is called silent.
    assert rounded_up(timedelta(seconds=heard_s)) >= timedelta(seconds=heard_s) * 0.9


def test_where_too_little_was_heard_the_usual_is_suggested_and_said_so() -> None:
    assert interval_suggested(None)[0] == "60 s"
    assert "not heard often enough" in interval_suggested(None)[1]


@pytest.mark.parametrize("text", ["60 s", "60s", " 10 MIN ", "1,5 h", "2 d"])
def test_an_interval_is_written_as_the_settings_take_it(text: str) -> None:
    assert duration(read_interval(text)) > timedelta(0)


@pytest.mark.parametrize(
    "text", ["", "often", "60", "s", "-1 s", "1e3 s", "60 s; x", "\N{ARABIC-INDIC DIGIT ONE} s"]
)
def test_what_is_no_interval_is_told_with_what_is(text: str) -> None:
    with pytest.raises(ConfigurationError, match="a number and s, min, h or d"):
        read_interval(text)
