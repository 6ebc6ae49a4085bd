"""Several sensors under one limit."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from service.rules.combine import combine
from service.rules.follow import Assessed, Track
from service.rules.limit import Assessment

T = datetime(2026, 3, 1, 22, tzinfo=UTC)
MINUTE = timedelta(minutes=1)

CLEAR = Assessed(
    assessment=Assessment.CLEAR,
    active=False,
    raised_at=None,
    cleared_at=None,
    breached_since=None,
    value=12.0,
    as_of=T,
    track=Track(),
)
SILENT = replace(CLEAR, assessment=Assessment.CANNOT_TELL)
BREACHED = replace(
    CLEAR, assessment=Assessment.BREACHED, active=True, raised_at=T, breached_since=T, value=4.0
)
SILENT_IN_ALARM = replace(BREACHED, assessment=Assessment.CANNOT_TELL)
PENDING = replace(CLEAR, breached_since=T, value=4.0)


@pytest.mark.parametrize(
    ("sensors", "expected"),
    [
        ([CLEAR, CLEAR], Assessment.CLEAR),
        ([CLEAR, BREACHED], Assessment.BREACHED),
        ([SILENT, BREACHED], Assessment.BREACHED),
        ([CLEAR, SILENT], Assessment.CANNOT_TELL),
        ([CLEAR, SILENT_IN_ALARM], Assessment.CANNOT_TELL),
        ([], Assessment.CANNOT_TELL),
    ],
)
def test_breached_if_any_is_clear_only_when_all_are(
    sensors: list[Assessed], expected: Assessment
) -> None:
    assert combine(sensors, was_active=False).assessment is expected


@pytest.mark.parametrize(
    "sensors",
    [[CLEAR, SILENT], [CLEAR, SILENT_IN_ALARM], [CLEAR, BREACHED], [CLEAR, PENDING], [SILENT], []],
)
def test_an_active_limit_stays_active_unless_every_sensor_is_clear(sensors: list[Assessed]) -> None:
    told = combine(sensors, was_active=True)
    assert told.active
    assert told.cleared_at is None


def test_an_active_limit_is_cleared_when_the_last_sensor_was() -> None:
    cleared = replace(CLEAR, cleared_at=T + MINUTE)
    told = combine([cleared, CLEAR], was_active=True)
    assert (told.active, told.cleared_at) == (False, T + MINUTE)


def test_a_limit_that_was_not_active_is_not_cleared_again() -> None:
    assert combine([replace(CLEAR, cleared_at=T)], was_active=False).cleared_at is None


@pytest.mark.parametrize("sensors", [[CLEAR, SILENT], [PENDING], []])
def test_without_an_active_sensor_nothing_is_raised(sensors: list[Assessed]) -> None:
    told = combine(sensors, was_active=False)
    assert (told.active, told.raised_at) == (False, None)


def test_the_sensor_that_raised_first_is_named_and_dates_the_alarm() -> None:
    later = replace(BREACHED, raised_at=T + MINUTE, value=3.0)
    told = combine([later, CLEAR, BREACHED], was_active=False)
    assert told.worst is BREACHED
    assert told.raised_at == T


def test_a_sensor_that_was_active_before_a_restart_was_active_longest() -> None:
    kept = replace(BREACHED, raised_at=None)
    assert combine([BREACHED, kept], was_active=True).worst is kept


def test_where_none_is_active_the_sensor_heard_last_is_named() -> None:
    newer, never = replace(CLEAR, as_of=T + MINUTE), replace(SILENT, as_of=None)
    assert combine([never, newer, CLEAR], was_active=False).worst is newer
    assert combine([], was_active=False).worst is None
