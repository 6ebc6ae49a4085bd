"""A month of one quantity beside a limit: from where to where each day went, and below it when the
limit would have spoken, a lane for each of its terms.

The bank is what lies beyond the setpoint of the first terms; the part of a day in it is told from
the rest by its width as well as by its colour. Days that nobody measured stay bare.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.marks.page_palette import PAGE
from dashboards.marks.svg import drawing, line, rect, text
from dashboards.views.local_words import day_short, start_of_day
from service.answers.limit_what_if import DayRange, WouldHave
from service.rules.limit import Limit

WIDTH = 358.0
"""That of a phone's page; a desk shows the same picture."""

_LETTERS = 18.0
_LEFT, _TOP, _BOTTOM = 58.0, 8.0, 178.0
_LANE = 46.0
_DATES_EVERY = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Led:
    """A limit as it was led over the month; ``name`` says in which terms."""

    name: str
    limit: Limit
    would: WouldHave


@dataclass(frozen=True, slots=True, kw_only=True)
class _Paper:
    first: date
    last: date
    zone: ZoneInfo
    least: float
    most: float

    @property
    def pitch(self) -> float:
        return (WIDTH - 4 - _LEFT) / ((self.last - self.first).days + 1)

    def x(self, day: date) -> float:
        return _LEFT + (day - self.first).days * self.pitch

    def x_at(self, at: datetime) -> float:
        """Within its day, so that days of 23 and 25 hours are as wide as others."""
        day = at.astimezone(self.zone).date()
        share = (at - start_of_day(day, self.zone)) / timedelta(days=1)
        return min(self.x(day) + min(1.0, share) * self.pitch, WIDTH - 4)

    def y(self, value: float) -> float:
        share = (value - self.least) / (self.most - self.least)
        return _BOTTOM - min(1.0, max(0.0, share)) * (_BOTTOM - _TOP)


def month_picture(
    days: Sequence[DayRange], led: Sequence[Led], zone: ZoneInfo, unit: str, words: str
) -> str:
    """Nothing where no day is known, or where there are no terms."""
    if not days or not led:
        return ""
    setpoints = [one.limit.setpoint for one in led]
    least = min(*(one.least for one in days), *setpoints)
    most = max(*(one.most for one in days), *setpoints)
    room = max(0.08 * (most - least), 1e-6)
    paper = _Paper(
        first=led[0].would.since.astimezone(zone).date(),
        last=led[0].would.until.astimezone(zone).date(),
        zone=zone,
        least=least - room,
        most=most + room,
    )
    parts = [*_ground(paper, led[0].limit), *_setpoints(paper, led, unit)]
    parts += [part for one in days for part in _day(paper, one, led[0].limit)]
    foot = _BOTTOM
    for one in led:
        parts += _lane(paper, one, foot)
        foot += _LANE
    parts += _dates(paper, foot)
    return drawing("".join(parts), WIDTH, foot + 26, label=words)


def _ground(paper: _Paper, limit: Limit) -> Iterator[str]:
    wide = WIDTH - 4 - _LEFT
    y = paper.y(limit.setpoint)
    yield rect(_LEFT, _TOP, wide, _BOTTOM - _TOP, PAGE.light_ground)
    if limit.low is not None:
        yield rect(_LEFT, y, wide, _BOTTOM - y, PAGE.bank)
    else:
        yield rect(_LEFT, _TOP, wide, y - _TOP, PAGE.bank)


def _setpoints(paper: _Paper, led: Sequence[Led], unit: str) -> Iterator[str]:
    """The first in full, the others dashed; a figure that would lie on another is left out."""
    told: list[float] = []
    for nth, one in enumerate(led):
        y = paper.y(one.limit.setpoint)
        dashes = "6 5" if nth else None
        yield line((_LEFT, y), (WIDTH - 4, y), PAGE.edge, 2, dashes=dashes)
        if all(abs(y - other) >= _LETTERS for other in told):
            told.append(y)
            words = f"{one.limit.setpoint:g}{unit}".replace("-", "\N{MINUS SIGN}")
            yield text(words, _LEFT - 6, y + 6, _LETTERS, PAGE.ink, anchor="end")


def _day(paper: _Paper, one: DayRange, limit: Limit) -> Iterator[str]:
    """Broad where it lies in the bank."""
    middle = paper.x(one.day) + paper.pitch / 2
    top, bottom = paper.y(one.most), paper.y(one.least)
    thin = max(2.0, 0.3 * paper.pitch)
    yield rect(middle - thin / 2, top, thin, max(2.0, bottom - top), PAGE.ink)
    y = paper.y(limit.setpoint)
    beyond = (max(top, y), bottom) if limit.low is not None else (top, min(bottom, y))
    broad = 0.7 * paper.pitch
    if beyond[1] > beyond[0]:
        yield rect(middle - broad / 2, beyond[0], broad, beyond[1] - beyond[0], PAGE.act)


def _lane(paper: _Paper, led: Led, top: float) -> Iterator[str]:
    """Its name, and under it a bar for each time; a short one can be seen too."""
    y = top + 26
    yield text(led.name, _LEFT, top + 20, _LETTERS, PAGE.ink)
    yield line((_LEFT, y + 7), (WIDTH - 4, y + 7), PAGE.edge, 2)
    for spell in led.would.spells:
        start = paper.x_at(spell.since)
        end = paper.x_at(spell.until or led.would.until)
        yield rect(start, y, max(3.0, end - start), 14, PAGE.ink)


def _dates(paper: _Paper, top: float) -> Iterator[str]:
    day = paper.last
    while day >= paper.first:
        x = paper.x(day) + paper.pitch / 2
        yield line((x, top), (x, top + 6), PAGE.ink, 2)
        anchor = "end" if day == paper.last else "middle"
        place = WIDTH - 4 if day == paper.last else x
        yield text(day_short(day), place, top + 24, _LETTERS, PAGE.ink, anchor=anchor)
        day -= timedelta(days=_DATES_EVERY)
