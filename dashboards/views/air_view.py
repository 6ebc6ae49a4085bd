"""The page of the air: now, the last night, what comes, a month of nights and light, a stretch.

Pure. Every picture has its words beside it, and is drawn twice: for a desk, and for a phone.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from dashboards.marks.air_channel import Tick, air_channel
from dashboards.marks.day_widths import day_widths_picture
from dashboards.marks.light_raster import light_raster
from dashboards.marks.night_lows import night_lows_picture
from dashboards.views.air_days import DayWidth
from dashboards.views.air_light import light_rows
from dashboards.views.air_nights import night_lows
from dashboards.views.banks import AirLimits
from dashboards.views.channel_view import ChannelView
from dashboards.views.local_words import day_short, day_word, local_day, weekday
from service.climate.light_day import LightDay
from service.climate.night_summary import NightSummary

DESK, PHONE = 1190.0, 358.0
_HOUR = timedelta(hours=1)
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """One picture for the desk and one for a phone; empty where there is nothing to draw."""

    desk: str = ""
    phone: str = ""


def _both(draw: Callable[[float], str]) -> Drawn:
    return Drawn(desk=draw(DESK), phone=draw(PHONE))


def lately_drawn(
    view: ChannelView | None, outdoors: ChannelView | None, zone: ZoneInfo, words: str
) -> Drawn:
    """The last day, and as far ahead as anything is expected."""
    if view is None or not view.strands:
        return Drawn()
    until = max(view.ahead.until, view.now) if view.ahead else view.now + _HOUR
    every = {DESK: 3, PHONE: 12}
    return _both(
        lambda width: air_channel(
            view,
            until,
            _hours(view.since, until, zone, every=every[width]),
            words,
            width=width,
            outdoors=outdoors.strands if outdoors else (),
        )
    )


def _hours(since: datetime, until: datetime, zone: ZoneInfo, *, every: int) -> list[Tick]:
    at = since.replace(minute=0, second=0, microsecond=0) + _HOUR
    found = []
    while at <= until:
        local = at.astimezone(zone)
        if local.hour % every == 0 and local.minute == 0:
            found.append(Tick(at=at, words=f"{local:%H:%M}"))
        at += timedelta(minutes=30)  # some zones are half an hour off
    return found


def week_drawn(
    view: ChannelView | None, outdoors: ChannelView | None, zone: ZoneInfo, words: str
) -> Drawn:
    """Seven days, from a midnight to the next that comes."""
    if view is None or not view.strands:
        return Drawn()
    first = local_day(view.since, zone)
    days = [first + _DAY * n for n in range(8)]

    def draw(width: float) -> str:
        short = width < DESK
        ticks = [Tick(at=_midnight(day, zone), words=_named(day, short=short)) for day in days]
        strands = outdoors.strands if outdoors else ()
        until = _midnight(days[-1], zone)
        return air_channel(view, until, ticks, words, width=width, outdoors=strands)

    return _both(draw)


def _midnight(day: date, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, time(0), zone).astimezone(UTC)


def _named(day: date, *, short: bool) -> str:
    return weekday(day)[:3] if short else f"{weekday(day)[:3]} {day_short(day)}"


def nights_drawn(nights: Sequence[NightSummary], limits: AirLimits, number: int) -> Drawn:
    """So many evenings up to the newest night that is known, or to yesterday."""
    if not nights:
        return Drawn()
    last = nights[-1].night.evening
    first = last - _DAY * (number - 1)
    lows = [one for one in night_lows(nights, limits) if one.evening >= first]
    words = (
        f"The lows of the nights from {day_word(first)} to {day_word(last)}; "
        "the same facts stand in the table below."
    )
    return _both(
        lambda width: night_lows_picture(
            lows,
            first,
            last,
            limits.cold_c,
            words,
            width=width,
            damp_limit=limits.damp_pct is not None,
        )
    )


def light_drawn(days: Sequence[LightDay], zone: ZoneInfo) -> Drawn:
    """One row a day."""
    rows = light_rows(days, zone)
    if not any(row.stretches for row in rows):
        return Drawn()
    words = f"Light and dark from {day_word(rows[0].day)} to {day_word(rows[-1].day)}, a row a day."
    return _both(lambda width: light_raster(rows, words, width=width))


def days_drawn(days: Sequence[DayWidth], first: date, last: date, limits: AirLimits) -> Drawn:
    """A season or a year, a column a day."""
    if not days:
        return Drawn()
    words = f"Lowest to highest of each day from {day_word(first)} to {day_word(last)}."
    return _both(lambda width: day_widths_picture(days, first, last, limits, words, width=width))
