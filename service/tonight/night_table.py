"""The table of nights that the outlook learns from, filled from the stored readings.

A night is put in once it is over. The last few are put in again each time: readings that a
sensor kept while nobody heard it come late. A night that tells too little stands there as such.
"""

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta

from service.climate.light_plan import LightPlan
from service.climate.outlook.features import FEATURES
from service.climate.outlook.night_row import NightRow, night_row
from service.climate.outlook.night_span import NightSpan, planned_night
from service.climate.outlook.outlook_json import UnreadableOutlookError, night_row_from, to_json
from service.climate.outlook.quarters import begin_of, quarter
from service.quality.doubt import Doubt, doubts_in
from service.quality.flag import Flag
from service.settings.settings import Settings
from service.store.outlook_store import MOST_NIGHTS, KeptNight, OutlookStore
from service.store.reading_store import ReadingStore
from service.tonight.quarter_hours import QuarterHours

AGAIN = 3
"""So many of the last nights are put in again."""

BEFORE = timedelta(hours=32)
"""What is looked back to from lamps-off: a day before the first hour of issue."""

_AT_ONCE = 30
"""Nights whose readings are read at once."""

_DOUBTED_FROM = 0.1
"""A night of whose readings so many are suspect teaches nothing."""

_OF_THE_WEATHER = frozenset({Doubt.UNUSUAL, Doubt.JUMP})
"""Colder than for weeks, or through an open door: the sensor may well be right, and without the
coldest nights the outlook would learn of mild ones only."""

_EARLIER = 8
_DAY = timedelta(days=1)


def fill_nights(
    readings: ReadingStore, kept: OutlookStore, settings: Settings, now: datetime
) -> Sequence[NightRow]:
    """Put in the nights that are over by ``now``; return all that the table then holds.

    Raises:
        StoreUnavailableError: a store can't be used now; what was put in stays.
    """
    rows = {row.evening: row for row in kept_rows(kept)}
    there = QuarterHours(readings, settings)
    # How cold the coldest surface was is reckoned anew where that is known otherwise now.
    known = [row.evening for row in rows.values() if row.surface_by == there.surface_by]
    wanted = list(_wanted(readings, there, settings.light, known, now))
    for at in range(0, len(wanted), _AT_ONCE):
        made = _rows(readings, there, wanted[at : at + _AT_ONCE], rows)
        kept.put_nights([KeptNight(evening=one.evening, body=to_json(one)) for one in made])
    return [rows[evening] for evening in sorted(rows)]


def kept_rows(kept: OutlookStore, since: date | None = None) -> list[NightRow]:
    """The nights of the table, oldest first; what another version wrote is left out.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    found = []
    for one in kept.nights(since):
        try:
            row = night_row_from(one.body)
        except UnreadableOutlookError:
            continue
        if all(len(issue.features) == len(FEATURES) for issue in row.issues.values()):
            found.append(row)
    return found


def _wanted(
    readings: ReadingStore,
    there: QuarterHours,
    plan: LightPlan,
    known: Sequence[date],
    now: datetime,
) -> Iterator[NightSpan]:
    """Nights that are over and not in the table, and the last few; oldest first."""
    if there.shed is None:
        return
    today = now.astimezone(plan.site.timezone).date()
    oldest = today - MOST_NIGHTS * _DAY
    first = there.shed.first(readings, now - (MOST_NIGHTS + 1) * _DAY, now)
    if first is None:
        return
    evening = max(oldest, first.astimezone(plan.site.timezone).date() - _DAY)
    have = set(known[:-AGAIN])
    while evening <= today:
        night = None if evening in have else planned_night(plan, evening)
        if night is not None and night.until <= now and night.until > first:
            yield night
        evening += _DAY


def _rows(
    readings: ReadingStore,
    there: QuarterHours,
    nights: Sequence[NightSpan],
    rows: dict[date, NightRow],
) -> list[NightRow]:
    quarters = there.read(nights[0].since - BEFORE, nights[-1].until)
    made = []
    for night in nights:
        earlier = [rows[one] for one in sorted(rows) if one < night.evening][-_EARLIER:]
        row = night_row(
            quarters,
            night,
            earlier,
            surface_by=there.surface_by,
            faulty=_is_doubted(readings, there, night),
        )
        rows[night.evening] = row
        made.append(row)
    return made


def _is_doubted(readings: ReadingStore, there: QuarterHours, night: NightSpan) -> bool:
    assert there.shed is not None  # noqa: S101 - without one no night is asked about
    since, until = begin_of(quarter(night.since)), night.until
    told = there.shed.window(readings, since, until)
    doubted = sum(one.flag in (Flag.SUSPECT, Flag.FAIL) for one in told)
    if not doubted:
        return False
    weather = sum(
        times
        for series in (there.shed.leading, *there.shed.before)
        for reason, times in readings.reasons(series.id, since, until)
        if (doubts := doubts_in(reason)) and _OF_THE_WEATHER.issuperset(doubts)
    )
    return doubted - weather > _DOUBTED_FROM * len(told)
