"""What is due is done at its hour, and nothing that fails reaches the watch."""

import logging
import sys
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import pytest

from service.errors import StoreUnavailableError
from service.tonight.keeping import LOOK_EVERY, SETTLED_AFTER, TRY_AGAIN_AFTER, TonightKeeping
from service.tonight.study_child import StudyChild

EVENING = datetime(2026, 3, 1, 20, 30, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
ENDS_AT_ONCE = (sys.executable, "-S", "-c", "")


@dataclass
class Hourly:
    """An outlook is due at every full half hour; a study once in the morning."""

    issued: list[datetime] = field(default_factory=list)
    study_since: datetime | None = None
    fault: Exception | None = None

    def due(self, now: datetime) -> datetime | None:
        hour = now.replace(minute=30, second=0, microsecond=0)
        hour -= timedelta(hours=0 if hour <= now else 1)
        return None if self.issued and self.issued[-1] >= hour else hour

    def issue(self, at: datetime) -> None:
        if self.fault:
            raise self.fault
        self.issued.append(at)

    def study_due(self, now: datetime) -> datetime | None:  # noqa: ARG002 - the protocol's
        return self.study_since


@dataclass
class Begun:
    """A child of which only the beginnings are counted."""

    times: list[datetime] = field(default_factory=list)

    def command(self, at: datetime) -> tuple[str, ...]:
        self.times.append(at)
        return ENDS_AT_ONCE


def keeping(hourly: Hourly, begun: Begun) -> TonightKeeping:
    return TonightKeeping(hourly, begun.command, StudyChild())


def test_an_outlook_is_issued_once_an_hour_when_its_readings_have_come() -> None:
    hourly = Hourly(issued=[EVENING - timedelta(hours=1)])
    at_work = keeping(hourly, Begun())
    for n in range(190):
        at_work.step(EVENING + n * MINUTE / 2)
    assert hourly.issued[1:] == [EVENING, EVENING + timedelta(hours=1)]
    fresh = Hourly(issued=[EVENING - timedelta(hours=1)])
    keeping(fresh, Begun()).step(EVENING + SETTLED_AFTER / 2)
    assert len(fresh.issued) == 1


def test_a_study_that_brought_nothing_is_tried_again_after_an_hour() -> None:
    begun = Begun()
    at_work = keeping(Hourly(study_since=EVENING), begun)
    at = EVENING
    while at < EVENING + 2.5 * TRY_AGAIN_AFTER:
        at_work.step(at)
        at_work.stop()
        at += LOOK_EVERY
    assert begun.times == [EVENING + n * TRY_AGAIN_AFTER for n in range(3)]


def test_a_new_morning_does_not_wait_for_the_hour_of_the_last_one() -> None:
    hourly, begun = Hourly(study_since=EVENING), Begun()
    at_work = keeping(hourly, begun)
    at_work.step(EVENING)
    at_work.stop()
    hourly.study_since = EVENING + LOOK_EVERY
    at_work.step(EVENING + LOOK_EVERY)
    at_work.stop()
    assert len(begun.times) == 2


@pytest.mark.parametrize("fault", [StoreUnavailableError("busy"), ZeroDivisionError("a fault")])
def test_what_fails_is_told_and_tried_again_and_not_raised(
    fault: Exception, caplog: pytest.LogCaptureFixture
) -> None:
    hourly = Hourly(fault=fault)
    at_work = keeping(hourly, Begun())
    with caplog.at_level(logging.ERROR):
        at_work.step(EVENING + SETTLED_AFTER)
    assert str(fault) in caplog.text
    hourly.fault = None
    at_work.step(EVENING + SETTLED_AFTER + LOOK_EVERY)
    assert hourly.issued == [EVENING]


def test_after_a_change_of_settings_the_study_that_runs_is_not_begun_again() -> None:
    begun = Begun()
    before = keeping(Hourly(study_since=EVENING), begun)
    before.step(EVENING)
    after = keeping(Hourly(study_since=EVENING), begun)
    after.go_on_from(before)
    after.step(EVENING + MINUTE)
    after.stop()
    assert begun.times == [EVENING]
