"""Who should have been heard?"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from service.rules.overdue import Overdue, next_overdue_at, overdue

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Heard:
    device: str
    at: datetime
    deadline: datetime


EARLY = Heard("th-1", NOON - 10 * MINUTE, NOON - 7 * MINUTE)
LATE = Heard("th-2", NOON - 3 * MINUTE, NOON)
TALKS = Heard("th-3", NOON - MINUTE, NOON + 2 * MINUTE)


def test_a_sensor_is_overdue_from_its_deadline_on() -> None:
    assert overdue([LATE], NOON - timedelta(microseconds=1)) == ()
    assert overdue([LATE], NOON) == (Overdue(device="th-2", since=NOON, silent_for=3 * MINUTE),)


def test_the_longest_overdue_comes_first() -> None:
    assert [one.device for one in overdue([TALKS, LATE, EARLY], NOON)] == ["th-1", "th-2"]


def test_the_next_deadline_is_that_of_a_sensor_that_is_not_overdue_yet() -> None:
    assert next_overdue_at([TALKS, LATE, EARLY], NOON) == NOON + 2 * MINUTE
    assert next_overdue_at([LATE, EARLY], NOON) is None
    assert next_overdue_at([], NOON) is None
