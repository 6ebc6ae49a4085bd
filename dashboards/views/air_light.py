"""The light of each day as a row of hours by the shed's own clock, and the last days in words.

Pure. A row runs from midnight to midnight. Where nobody saw the light the row stays bare.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.views.air_nights import share_words
from dashboards.views.local_words import clock_time, day_word, local_day
from service.climate.light_cycle import COMPARABLE
from service.climate.light_day import LightDay

_HOUR = timedelta(hours=1)
_MINUTE = timedelta(minutes=1)
_NOTED = timedelta(minutes=5)
"""Less than this, from one day to the next, is how a lamp's clock and a reading fall."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Light or dark, in hours of that day's wall clock."""

    from_h: float
    to_h: float
    lit: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LightRow:
    """One local date. ``sun`` is sunrise and sunset, ``lamps`` when they were meant to burn [h].

    Where the lamps burn across midnight ``lamps`` ends before it begins. ``until_h`` is how far
    the day has gone.
    """

    day: date
    stretches: tuple[Stretch, ...]
    sun: tuple[float, float] | None
    lamps: tuple[float, float] | None
    until_h: float = 24.0


def light_rows(days: Sequence[LightDay], zone: ZoneInfo) -> tuple[LightRow, ...]:
    """Oldest first, one for each date.

    Wall time is what is drawn: on the day on which clocks go back the hour that comes twice is
    drawn once, and on the other the hour that is left out is drawn as what surrounds it.
    """
    return tuple(_row(one, zone) for one in days)


def _row(one: LightDay, zone: ZoneInfo) -> LightRow:
    stretches = []
    for span in one.spans:
        begin, end = hour_of(span.since, one.day, zone), hour_of(span.until, one.day, zone)
        if end > begin:
            stretches.append(Stretch(from_h=begin, to_h=end, lit=span.lit))
    sun = None
    if one.daylight and one.daylight.sunrise and one.daylight.sunset:
        sun = (
            hour_of(one.daylight.sunrise, one.day, zone),
            hour_of(one.daylight.sunset, one.day, zone),
        )
    lamps = None
    if one.planned is not None:
        lamps = (_clock_h(one.planned.on_at, zone), _clock_h(one.planned.off_at, zone))
    return LightRow(
        day=one.day,
        stretches=tuple(stretches),
        sun=sun,
        lamps=lamps,
        until_h=hour_of(one.until, one.day, zone),
    )


def hour_of(at: datetime, day: date, zone: ZoneInfo) -> float:
    """The hour of the wall clock at ``at``, from 0 to 24 within ``day``."""
    local = local_day(at, zone)
    if local < day:
        return 0.0
    return 24.0 if local > day else _clock_h(at, zone)


def _clock_h(at: datetime, zone: ZoneInfo) -> float:
    told = at.astimezone(zone)
    return told.hour + told.minute / 60 + told.second / 3600


def light_words(days: Sequence[LightDay], zone: ZoneInfo) -> tuple[str, ...]:
    """The newest day that is over and was seen, and how it differs; then what else was seen."""
    over = [one for one in days if one.is_over and one.spans]
    if not over:
        return ("No day of light is known: the shed's light sensor told nothing in these days.",)
    last = over[-1]
    return (_hours(last), *_changes(last, zone), *_odd(over, zone), *_unseen(days))


def _hours(last: LightDay) -> str:
    light = last.light or timedelta(0)
    minutes = round(light / _MINUTE / 5) * 5
    told = f"{minutes // 60} h" + (f" {minutes % 60} min" if minutes % 60 else "")
    if last.coverage < COMPARABLE:
        seen = f"only {share_words(last.coverage)} of the day was watched"
        return f"On {day_word(last.day)} light was seen for {told}, but {seen}."
    longer = ""
    if last.longer is not None and abs(last.longer) >= _NOTED:
        more = "more" if last.longer > timedelta(0) else "less"
        longer = f", {round(abs(last.longer) / _MINUTE)} min {more} than the day before"
    return f"On {day_word(last.day)} it was light for {told}{longer}."


def _changes(last: LightDay, zone: ZoneInfo) -> Iterator[str]:
    parts = []
    for at, by, what in ((last.on_at, last.on_by, "on"), (last.off_at, last.off_by, "off")):
        if at is not None:
            whose = f", by {by}" if by is not None else ""
            parts.append(f"{what} at {clock_time(at, zone)}{whose}")
    if parts:
        yield f"Light {'; '.join(parts)}."
    if last.planned is not None:
        on, off = clock_time(last.planned.on_at, zone), clock_time(last.planned.off_at, zone)
        yield f"The lamps were meant to burn from {on} to {off}."


def _odd(over: Sequence[LightDay], zone: ZoneInfo) -> Iterator[str]:
    """Dark within the day and light within the night, on how many days and when last."""
    gaps = [span for one in over for span in (one.dark_gaps or ())[-1:]]
    lights = [span for one in over for span in (one.night_lights or ())[-1:]]
    for name, found in (("was dark within its day", gaps), ("had light in its night", lights)):
        if not found:
            continue
        last, since = local_day(found[-1].since, zone), clock_time(found[-1].since, zone)
        until = clock_time(found[-1].until, zone)
        many = "One day" if len(found) == 1 else f"Each of {len(found)} days"
        yield f"{many} {name}, last on {day_word(last)} from {since} to {until}."


def _unseen(days: Sequence[LightDay]) -> Iterator[str]:
    missing = sum(1 for one in days if not one.spans)
    if missing:
        yield f"Nothing was seen on {missing} of these {len(days)} days."
