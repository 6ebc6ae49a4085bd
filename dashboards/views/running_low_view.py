"""What runs low: the list, and what can be added to it by one tap. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from dashboards.views.local_words import moment
from service.nests.running_low import LONGEST_WORDS, RunningLow

USUAL = (
    "Seed",
    "Soft food",
    "Tonic seed",
    "Grit",
    "Charcoal",
    "Bedding",
    "Tray liners",
    "Leg rings",
)
"""Offered where the keeper's own list is still short; common practice, no source."""

OFFERED = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class LowRow:
    """``told`` says by whom and when it was added."""

    id: int
    what: str
    told: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RunningLowView:
    """``struck`` is what was struck just now, to be put back if it was a mistake."""

    rows: tuple[LowRow, ...]
    offered: tuple[str, ...]
    struck: int | None
    longest: int = LONGEST_WORDS


def running_low_view(
    low: Sequence[RunningLow],
    earlier: Sequence[str],
    now: datetime,
    zone: ZoneInfo,
    *,
    struck: int | None = None,
) -> RunningLowView:
    """What ran low before is offered first, the latest of it before all."""
    there = {one.what.casefold() for one in low}
    known = {one.casefold() for one in earlier} | there
    offered = [*earlier, *(one for one in USUAL if one.casefold() not in known)]
    return RunningLowView(
        rows=tuple(LowRow(id=one.id, what=one.what, told=_told(one, now, zone)) for one in low),
        offered=tuple(offered[:OFFERED]),
        struck=struck if struck not in {one.id for one in low} else None,
    )


def _told(one: RunningLow, now: datetime, zone: ZoneInfo) -> str:
    when = moment(one.added_at, now, zone)
    return f"{one.added_by}, {when}" if one.added_by else when
