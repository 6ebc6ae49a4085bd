"""The width in which tonight is expected never claims more than was said."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from dashboards.views.ahead import Ahead, below

DUSK = datetime(2026, 3, 1, 20, 30, tzinfo=UTC)
HOUR = timedelta(hours=1)
LOW_AT = DUSK + 9 * HOUR

BY_DAY = Ahead(
    place="shed",
    since=DUSK,
    until=DUSK + 10 * HOUR,
    low_c=4.0,
    middle_c=6.0,
    high_c=7.0,
    low_at=LOW_AT,
)
IN_THE_NIGHT = replace(BY_DAY, from_c=12.0)


def test_by_day_the_width_spans_the_night_and_nothing_before_it() -> None:
    assert BY_DAY.lower() == ((DUSK, 4.0), (DUSK + 10 * HOUR, 4.0))
    assert BY_DAY.upper() == ((DUSK, 7.0), (DUSK + 10 * HOUR, 7.0))


def test_in_the_night_the_width_opens_from_now_to_the_hour_of_the_low() -> None:
    lower, upper = IN_THE_NIGHT.lower(), IN_THE_NIGHT.upper()
    assert lower[0] == upper[0] == (DUSK, 12.0)
    assert lower[-2][0] == LOW_AT
    assert lower[-2][1] == pytest.approx(4.0)
    assert lower[-1] == (BY_DAY.until, 4.0)
    widths = [top - bottom for (_, top), (_, bottom) in zip(upper, lower, strict=True)]
    assert widths == sorted(widths)


def test_after_the_hour_of_the_low_the_width_is_what_is_left_of_the_night() -> None:
    late = replace(IN_THE_NIGHT, since=LOW_AT + HOUR / 2)
    assert late.lower() == ((late.since, 4.0), (BY_DAY.until, 4.0))


def test_what_may_lie_in_the_bank_begins_where_the_edge_crosses_it() -> None:
    part = below(IN_THE_NIGHT.lower(), 5.0)
    assert part[0][1] == 5.0
    assert DUSK < part[0][0] < LOW_AT
    assert part[-1] == (BY_DAY.until, 4.0)
    assert below(IN_THE_NIGHT.lower(), 3.0) == ()
    assert below(BY_DAY.lower(), 5.0) == BY_DAY.lower()


def test_without_a_known_hour_the_width_opens_until_the_night_ends() -> None:
    unknown = replace(IN_THE_NIGHT, low_at=None)
    assert unknown.lower()[-2][0] == BY_DAY.until
