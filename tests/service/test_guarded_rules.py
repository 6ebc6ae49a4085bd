"""A fault in one path of rules stops neither the others nor the walk."""

import logging
from datetime import UTC, datetime, timedelta

import pytest

from devices.reading import Quantity, Reading
from service.guarded_rules import GuardedRules
from service.quality.flag import Flag, Judged
from service.store.reading_store import ReadingStore

NOW = datetime(2026, 3, 1, 21, tzinfo=UTC)
JUDGED = Judged(
    reading=Reading(
        device="th-1",
        place="shed",
        quantity=Quantity.TEMPERATURE,
        value=9.0,
        measured_at=NOW,
        received_at=NOW,
    ),
    flag=Flag.PASS,
)


class Listening:
    """A path that notes what it hears."""

    def __init__(self) -> None:
        self.heard: list[object] = []

    def restore(self, store: ReadingStore, now: datetime) -> None:
        self.heard.append((store, now))

    def reading(self, judged: Judged) -> None:
        self.heard.append(judged)

    def next_deadline(self) -> datetime | None:
        return NOW

    def tick(self, now: datetime) -> None:
        self.heard.append(now)


class Broken(Listening):
    """A path with a fault of ours in it."""

    def reading(self, judged: Judged) -> None:
        super().reading(judged)
        raise ZeroDivisionError("division by zero")

    def tick(self, now: datetime) -> None:
        raise KeyError(now)


def test_the_others_hear_all_the_same() -> None:
    broken, well = Broken(), Listening()
    rules = GuardedRules([broken, well])
    rules.reading(JUDGED)
    rules.tick(NOW)
    assert well.heard == [JUDGED, NOW]


def test_it_goes_on_with_the_next_reading_and_is_logged_once(
    caplog: pytest.LogCaptureFixture,
) -> None:
    broken = Broken()
    rules = GuardedRules([broken])
    with caplog.at_level(logging.ERROR):
        rules.reading(JUDGED)
        rules.reading(JUDGED)
    assert broken.heard == [JUDGED, JUDGED]
    assert len(caplog.records) == 1


def test_the_fault_is_told_in_words() -> None:
    rules = GuardedRules([Broken(), Listening()])
    assert rules.trouble is None
    rules.reading(JUDGED)
    assert rules.trouble is not None
    assert "Broken: ZeroDivisionError: division by zero" in rules.trouble


def test_the_soonest_deadline_counts() -> None:
    assert GuardedRules([Listening()]).next_deadline() == NOW
    assert GuardedRules().next_deadline() is None


def test_a_deadline_that_stands_still_for_a_fault_is_put_off() -> None:
    rules = GuardedRules([Broken()])
    rules.tick(NOW)
    assert rules.next_deadline() == NOW + timedelta(minutes=1)
