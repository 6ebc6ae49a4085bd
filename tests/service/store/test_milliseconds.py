"""Times as whole milliseconds, there and back."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.store.milliseconds import first_ms_from, from_ms, span_ms, to_ms

aware = st.datetimes(datetime(1900, 1, 1), datetime(2200, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001


# The first two from RFC 3339, section 5.8, as seconds since 1970.
@pytest.mark.parametrize(
    ("at", "ms"),
    [
        (datetime(1985, 4, 12, 23, 20, 50, 520_000, tzinfo=UTC), 482_196_050_520),
        (datetime(1996, 12, 20, 0, 39, 57, tzinfo=UTC), 851_042_397_000),
        (datetime(1970, 1, 1, tzinfo=UTC), 0),
        (datetime(1969, 12, 31, 23, 59, 59, 999_000, tzinfo=UTC), -1),
    ],
)
def test_time_is_milliseconds_since_1970(at: datetime, ms: int) -> None:
    assert to_ms(at) == ms
    assert from_ms(ms) == at


@settings(deadline=None)
@given(aware)
def test_millisecond_begins_at_most_one_before_the_time(at: datetime) -> None:
    assert timedelta(0) <= at - from_ms(to_ms(at)) < timedelta(milliseconds=1)


@settings(deadline=None)
@given(aware)
def test_bound_is_the_first_millisecond_not_before_it(at: datetime) -> None:
    assert timedelta(0) <= from_ms(first_ms_from(at)) - at < timedelta(milliseconds=1)


def test_span_is_in_milliseconds() -> None:
    assert span_ms(timedelta(days=1, milliseconds=7)) == 86_400_007
