"""Times, days and degrees in words; ages are never told younger than they are by much."""

from datetime import UTC, date, datetime

import pytest

from dashboards.views.local_words import age, degrees, moment, span_of_days, start_of_day
from tests.dashboards.filled_shed import NOW, ZONE

TODAY = date(2026, 4, 21)


@pytest.mark.parametrize(
    ("value", "words"), [(6.4, "6°"), (-0.4, "0°"), (-2.6, "\N{MINUS SIGN}3°"), (0.0, "0°")]
)
def test_degrees_have_a_true_minus_and_no_minus_nought(value: float, words: str) -> None:
    assert degrees(value) == words


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (TODAY, TODAY, "today"),
        (TODAY, date(2026, 4, 22), "today or tomorrow"),
        (date(2026, 4, 27), date(2026, 4, 29), "27 to 29 April"),
        (date(2026, 4, 29), date(2026, 5, 2), "29 April to 2 May"),
        (date(2026, 4, 26), date(2026, 4, 26), "26 April"),
    ],
    ids=str,
)
def test_spans_are_told_as_people_say_them(first: date, last: date, words: str) -> None:
    assert span_of_days(first, last, TODAY) == words


def test_a_moment_of_another_day_says_which() -> None:
    assert moment(datetime(2026, 4, 20, 20, 50, tzinfo=UTC), NOW, ZONE) == "yesterday 22:50"
    assert moment(datetime(2026, 4, 21, 6, 50, tzinfo=UTC), NOW, ZONE) == "08:50"


def test_a_day_of_twenty_three_hours_begins_at_its_own_midnight() -> None:
    # Clocks in Europe go forward on 29 March 2026.
    short, following = (start_of_day(date(2026, 3, day), ZONE) for day in (29, 30))
    assert (following - short).total_seconds() == 23 * 3600


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0, "0 s"), (89, "89 s"), (90, "1 min"), (5399, "89 min"), (7300, "2 h"), (200000, "2 days")],
)
def test_an_age_is_told_in_its_own_unit(seconds: float, words: str) -> None:
    assert age(seconds) == words
