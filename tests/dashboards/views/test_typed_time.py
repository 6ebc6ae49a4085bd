"""Local times as they are typed. Central European Time changes at 01:00 UTC on the last Sundays
of March and October (Directive 2000/84/EC, articles 2 and 3)."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from dashboards.views.typed_time import typed_time
from service.errors import InputError

ZONE = ZoneInfo("Europe/Amsterdam")


def test_a_time_without_an_offset_is_the_sheds_own() -> None:
    assert typed_time("2026-04-21T14:30", ZONE) == datetime(2026, 4, 21, 12, 30, tzinfo=UTC)


def test_a_time_with_an_offset_is_taken_at_its_word() -> None:
    told = typed_time("2026-04-21T14:30+14:00", ZONE)
    assert told == datetime(2026, 4, 21, 0, 30, tzinfo=UTC)


def test_a_time_over_which_clocks_were_put_forward_is_refused() -> None:
    with pytest.raises(InputError, match=r"29\.03\.2026 has no 02:30"):
        typed_time("2026-03-29T02:30", ZONE)


@pytest.mark.parametrize(
    ("now", "meant"),
    [
        (datetime(2025, 10, 26, 1, 40, tzinfo=UTC), datetime(2025, 10, 26, 1, 30, tzinfo=UTC)),
        (datetime(2025, 10, 26, 0, 40, tzinfo=UTC), datetime(2025, 10, 26, 0, 30, tzinfo=UTC)),
        (None, datetime(2025, 10, 26, 0, 30, tzinfo=UTC)),
    ],
)
def test_of_an_hour_that_comes_twice_the_later_is_meant_once_it_was(
    now: datetime | None, meant: datetime
) -> None:
    assert typed_time("2025-10-26T02:30", ZONE, now=now) == meant


@pytest.mark.parametrize(
    "told",
    ["0001-01-01T00:00", "9999-12-31T23:59-14:00", "soon", "", "2026-02-30", "9" * 5000, "\0"],
)
def test_what_is_no_time_of_the_calendar_is_refused_with_the_value_cut_short(told: str) -> None:
    with pytest.raises(InputError, match="is no day and time") as caught:
        typed_time(told, ZONE)
    assert len(str(caught.value)) < 250
