"""Whether the coldest surface was wet this morning: the keeper's word, asked and read. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from dashboards.views.local_words import day_word, local_day
from service.climate.night_summary import NightSummary
from service.errors import InputError
from service.settings.settings import Settings

LONGEST_AGO = timedelta(days=7)
"""Nobody remembers longer how a pane looked one morning."""

_WORDS = {"wet": True, "dry": False}


@dataclass(frozen=True, slots=True, kw_only=True)
class LookAsked:
    """The night that is asked for; ``told`` is what was said of it, empty while nobody has."""

    evening: str
    night: str
    told: str


def look_asked(
    nights: Sequence[NightSummary],
    looks: Mapping[date, bool],
    now: datetime,
    settings: Settings,
) -> LookAsked | None:
    """The last night, by day; None once the next has begun, and where none is known of today."""
    today = local_day(now, settings.site.timezone)
    last = nights[-1].night if nights else None
    if last is None or last.until is None or last.evening < today - timedelta(days=1):
        return None
    evening = last.evening
    told = looks.get(evening)
    return LookAsked(
        evening=evening.isoformat(),
        night=day_word(evening),
        told="" if told is None else "wet" if told else "dry",
    )


def read_look(evening: object, wet: object, now: datetime, settings: Settings) -> tuple[date, bool]:
    """What was pressed.

    Raises:
        InputError: no such night, or neither wet nor dry.
    """
    try:
        day = date.fromisoformat(str(evening))
    except ValueError as error:
        raise InputError(f"{evening!r} is no evening; write it as 2026-04-20.") from error
    today = local_day(now, settings.site.timezone)
    if not today - LONGEST_AGO <= day <= today:
        raise InputError(
            f"The night of {day_word(day)} can't be told of now: "
            f"only those of the last {LONGEST_AGO.days} days can."
        )
    if wet not in _WORDS:
        raise InputError(f"The coldest surface was wet or dry, not {wet!r}.")
    return day, _WORDS[str(wet)]
