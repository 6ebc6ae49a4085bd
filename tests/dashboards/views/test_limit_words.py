"""Limits and what they would have said, in sentences."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from dashboards.views.limit_words import (
    for_words,
    limit_sentence,
    spells_in_words,
    times_in_words,
)
from devices.reading import Quantity
from service.answers.limit_what_if import WouldHave
from service.rules.limit import During, Limit, When
from service.rules.what_if import Spell

ZONE = ZoneInfo("Europe/Amsterdam")
NOW = datetime(2026, 3, 10, 12, tzinfo=UTC)
MONTH = timedelta(days=30)
HOUR = timedelta(hours=1)
COLD = Limit(
    id="cold",
    place="shed",
    quantity=Quantity.TEMPERATURE,
    low=5.25,
    deadband=0.5,
    on_delay=timedelta(minutes=90),
    when=When.NIGHT,
    during=During.BREEDING,
)


def would(*since: datetime, heard: timedelta = MONTH, lowest: float | None = 4.06) -> WouldHave:
    return WouldHave(
        since=NOW - MONTH,
        until=NOW,
        heard=heard,
        spells=tuple(Spell(since=at, until=at + HOUR, worst=4.06) for at in since),
        lowest=lowest,
    )


def told(found: WouldHave) -> str:
    return " ".join(times_in_words(found, COLD, ZONE))


def test_a_limit_is_told_whole() -> None:
    assert limit_sentence(COLD) == (
        "It speaks when it is under 5.25° for 1 h 30 min, by night, while birds breed. "
        "It is over once it has been at or above 5.75°."
    )


@pytest.mark.parametrize(
    ("span", "words"),
    [(0, "0 s"), (45, "45 s"), (600, "10 min"), (5400, "1 h 30 min"), (90000, "1 day 1 h")],
)
def test_a_delay_is_told_without_rounding(span: int, words: str) -> None:
    assert for_words(timedelta(seconds=span)) == words


def test_a_month_without_a_word_tells_how_far_it_went() -> None:
    assert told(would(lowest=6.0)) == (
        "In the last 30 days it would not have spoken. The lowest of that time was 6.0°."
    )


def test_times_by_night_are_told_apart() -> None:
    day, night = NOW, NOW - 10 * HOUR
    assert "spoken 2 times, 1 of them between 22 and 7." in told(would(night, day))
    assert "spoken once, not between 22 and 7." in told(would(day))
    assert "spoken 2 times, all of them between 22 and 7." in told(would(night, night))
    assert "spoken 2 times, none between 22 and 7." in told(would(day, day))


def test_what_speaks_more_than_once_a_day_is_called_so() -> None:
    assert "soon overlooked" in told(would(*[NOW] * 31))
    assert "soon overlooked" not in told(would(*[NOW] * 30))


def test_nothing_measured_is_no_never() -> None:
    assert told(would(heard=timedelta(0), lowest=None)) == (
        "Nothing was measured there in the last 30 days, so nobody can say how often."
    )


def test_how_much_was_measured_is_told() -> None:
    assert "Readings cover 90 % of that time" in told(would(heard=0.9 * MONTH))
    assert "cover 10 % of that time: too little" in told(would(heard=0.1 * MONTH))


def test_the_newest_times_come_first() -> None:
    found = spells_in_words(would(NOW - 48 * HOUR, NOW - 24 * HOUR), COLD, ZONE)
    assert found == (
        "9 March, 13:00: 1 h, down to 4.1°",
        "8 March, 13:00: 1 h, down to 4.1°",
    )
