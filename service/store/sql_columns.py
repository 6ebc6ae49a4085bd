"""How the service's values stand in columns: text that a person can read in the file.

STRICT tables of SQLite know INTEGER, REAL, TEXT and BLOB only. Times are UTC with six
decimals and so sort as text.
"""

from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from typing import Any

from sqlalchemy import REAL, Dialect, Text
from sqlalchemy.types import TypeDecorator


class UtcTime(TypeDecorator[datetime]):
    """An aware datetime, kept as ``2026-03-01T21:00:00.000000Z``."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:  # noqa: ARG002
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value} has no time zone")
        told = value.astimezone(UTC).replace(tzinfo=None)
        return told.isoformat(timespec="microseconds") + "Z"

    def process_result_value(self, value: Any | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        return None if value is None else datetime.fromisoformat(value).astimezone(UTC)


class Day(TypeDecorator[date]):
    """A date, kept as ``2026-03-01``."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: date | None, dialect: Dialect) -> str | None:  # noqa: ARG002
        return None if value is None else value.isoformat()

    def process_result_value(self, value: Any | None, dialect: Dialect) -> date | None:  # noqa: ARG002
        return None if value is None else date.fromisoformat(value)


class Seconds(TypeDecorator[timedelta]):
    """How long, kept in seconds."""

    impl = REAL
    cache_ok = True

    def process_bind_param(self, value: timedelta | None, dialect: Dialect) -> float | None:  # noqa: ARG002
        return None if value is None else value.total_seconds()

    def process_result_value(self, value: Any | None, dialect: Dialect) -> timedelta | None:  # noqa: ARG002
        return None if value is None else timedelta(seconds=value)


class Word(TypeDecorator[StrEnum]):
    """One of a closed set of words."""

    impl = Text
    cache_ok = True

    def __init__(self, words: type[StrEnum]) -> None:
        super().__init__()
        self.words = words

    def process_bind_param(self, value: StrEnum | None, dialect: Dialect) -> str | None:  # noqa: ARG002
        return None if value is None else self.words(value).value

    def process_result_value(self, value: Any | None, dialect: Dialect) -> StrEnum | None:  # noqa: ARG002
        return None if value is None else self.words(value)
