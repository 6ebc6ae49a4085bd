"""Nights, models and outlooks, in a real SQLite file."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from service.store.outlook_store import (
    MOST_MODELS,
    MOST_NIGHTS,
    KeptModel,
    KeptNight,
    KeptOutlook,
)
from service.store.sql_outlook import SqlOutlook
from service.store.sql_records import open_records

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)
DAY = timedelta(days=1)
EVENING = date(2026, 3, 2)


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[SqlOutlook]:
    records = open_records("sqlite:///records.db", tmp_path)
    yield records.outlook
    records.close()


def night(n: int, body: str = "{}") -> KeptNight:
    return KeptNight(evening=EVENING + n * DAY, body=body)


def test_a_night_that_is_told_again_replaces_what_was_told_first(kept: SqlOutlook) -> None:
    kept.put_nights([night(1, "a"), night(0, "b")])
    kept.put_nights([night(1, "c")])
    assert kept.nights() == [night(0, "b"), night(1, "c")]
    assert kept.nights(EVENING + DAY) == [night(1, "c")]


def test_of_more_nights_than_are_kept_the_oldest_go_with_what_was_said_of_them(
    kept: SqlOutlook,
) -> None:
    said = [
        KeptOutlook(night=EVENING + n * DAY, issued_at=NOON + n * DAY, body="{}") for n in (0, 5)
    ]
    for one in said:
        kept.put_outlook(one)
    kept.put_nights([night(n) for n in range(MOST_NIGHTS + 3)])
    assert len(kept.nights()) == MOST_NIGHTS
    assert kept.nights()[0] == night(3)
    assert [kept.outlooks(one.night) for one in said] == [[], [said[1]]]


def test_the_model_of_a_moment_is_the_newest_that_was_fitted_by_then(kept: SqlOutlook) -> None:
    for n in range(MOST_MODELS + 2):
        kept.put_model(KeptModel(fitted_at=NOON + n * DAY, body=str(n)))
    assert kept.model(NOON + 5 * DAY + HOUR) == KeptModel(fitted_at=NOON + 5 * DAY, body="5")
    assert kept.model(NOON + 1 * DAY) is None


def test_the_outlook_of_a_moment_is_the_newest_that_was_issued_by_then(kept: SqlOutlook) -> None:
    for n in range(3):
        kept.put_outlook(KeptOutlook(night=EVENING, issued_at=NOON + n * HOUR, body=str(n)))
    kept.put_outlook(KeptOutlook(night=EVENING, issued_at=NOON + HOUR, body="again"))
    now = kept.outlook(NOON + 1.5 * HOUR)
    assert now is not None
    assert now.body == "again"
    assert [one.body for one in kept.outlooks(EVENING)] == ["0", "again", "2"]
    assert kept.outlook(NOON - HOUR) is None
