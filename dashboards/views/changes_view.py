"""The record of changes, as it is read. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from dashboards.views.local_words import moment
from service.store.kept_settings import Change


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeView:
    """One line: when, who, what; ``before`` and ``after`` where a value was replaced."""

    at: str
    by: str
    what: str
    before: str | None
    after: str | None


def changes_view(
    changes: Sequence[Change], now: datetime, zone: ZoneInfo
) -> tuple[ChangeView, ...]:
    """In the order of the record: newest first."""
    return tuple(
        ChangeView(
            at=moment(one.at, now, zone),
            by=one.by or "at the machine",
            what=one.what,
            before=one.before,
            after=one.after,
        )
        for one in changes
    )
