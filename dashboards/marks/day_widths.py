"""A season or a year as a width, day by day, between its banks: warmth above, damp below.

Each day spans from its lowest to its highest half-hour. Days that nobody measured stay bare;
where the width is in a bank it is filled: it happened.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from dashboards.marks.page_palette import PAGE
from dashboards.marks.svg import drawing, line, path, polygon, polyline, rect, text
from dashboards.marks.text_width import text_width
from dashboards.views.air_days import DayWidth, runs_of
from dashboards.views.banks import AirLimits
from dashboards.views.local_words import degrees

_LETTERS = 18.0
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_LEAST_C = 15.0
_OUTLINED_FROM = 2.0
"""A day that is thinner than this [px] would be nothing but its outline."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lane:
    """One quantity: where it lies, its span, and how a value is told."""

    top: float
    bottom: float
    least: float
    most: float
    low: Callable[[DayWidth], float | None]
    high: Callable[[DayWidth], float | None]
    low_limit: float | None
    high_limit: float | None
    step: int
    told: Callable[[float], str]

    def y(self, value: float) -> float:
        share = (value - self.least) / (self.most - self.least)
        return self.bottom - min(1.0, max(0.0, share)) * (self.bottom - self.top)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Paper:
    left: float
    right: float
    first: date
    last: date

    @property
    def pitch(self) -> float:
        return (self.right - self.left) / ((self.last - self.first).days + 1)

    def x(self, day: date) -> float:
        return self.left + (day - self.first).days * self.pitch


def day_widths_picture(
    days: Sequence[DayWidth],
    first: date,
    last: date,
    limits: AirLimits,
    words: str,
    *,
    width: float,
) -> str:
    """The whole picture from ``first`` to ``last``, which may hold days without a width."""
    narrow = width < 600
    paper = _Paper(left=52 if narrow else 64, right=width - 4, first=first, last=last)
    height = 420.0 if narrow else 400.0
    lanes = [_warmth(days, limits, bottom=250)]
    if any(one.damp_high_pct is not None for one in days):
        lanes.append(_damp(limits, top=268, bottom=height - 46))
    drawn = "".join(part for lane in lanes for part in _lane(lane, days, paper))
    foot = lanes[-1].bottom
    return drawing(drawn + "".join(_months(paper, foot)), width, foot + 46, label=words)


def _warmth(days: Sequence[DayWidth], limits: AirLimits, *, bottom: float) -> _Lane:
    lows = [one.low_c for one in days] or [0.0]
    highs = [one.high_c for one in days] or [_LEAST_C]
    least, most = min(lows) - 1, max(highs) + 1
    if limits.cold_c is not None:
        least = min(least, limits.cold_c - 2)
    if most - least < _LEAST_C:
        most = least + _LEAST_C
    return _Lane(
        top=8,
        bottom=bottom,
        least=least,
        most=most,
        low=lambda one: one.low_c,
        high=lambda one: one.high_c,
        low_limit=limits.cold_c,
        high_limit=limits.hot_c,
        step=5 if most - least < 26 else 10,
        told=degrees,
    )


def _damp(limits: AirLimits, *, top: float, bottom: float) -> _Lane:
    return _Lane(
        top=top,
        bottom=bottom,
        least=20,
        most=100,
        low=lambda one: one.damp_low_pct,
        high=lambda one: one.damp_high_pct,
        low_limit=limits.dry_pct,
        high_limit=limits.damp_pct,
        step=40,
        told=lambda value: f"{value:.0f} %",
    )


def _lane(lane: _Lane, days: Sequence[DayWidth], paper: _Paper) -> Iterator[str]:
    for run in runs_of([one for one in days if lane.low(one) is not None]):
        left, right = paper.x(run[0].day), paper.x(run[-1].day) + paper.pitch
        yield rect(left, lane.top, right - left, lane.bottom - lane.top, PAGE.light_ground)
        yield from _banks(lane, left, right)
        yield from _width(lane, run, paper)
    yield from _scale(lane, paper)


def _banks(lane: _Lane, left: float, right: float) -> Iterator[str]:
    for limit, border in ((lane.low_limit, lane.bottom), (lane.high_limit, lane.top)):
        if limit is None or not lane.least < limit < lane.most:
            continue
        y = lane.y(limit)
        yield rect(left, min(y, border), right - left, abs(border - y), PAGE.bank)
        yield line((left, y), (right, y), PAGE.edge, 2)


def _width(lane: _Lane, run: Sequence[DayWidth], paper: _Paper) -> Iterator[str]:
    lows = _steps(run, paper, lane, lane.low)
    highs = _steps(run, paper, lane, lane.high)
    yield path(polygon([*highs, *reversed(lows)]), fill=PAGE.edge)
    if paper.pitch >= _OUTLINED_FROM:
        yield path(polyline(highs), stroke=PAGE.ink, width=1.2)
        yield path(polyline(lows), stroke=PAGE.ink, width=1.2)
    for one in run:
        yield from _in_bank(lane, one, paper)


def _steps(
    run: Sequence[DayWidth],
    paper: _Paper,
    lane: _Lane,
    of: Callable[[DayWidth], float | None],
) -> list[tuple[float, float]]:
    found = []
    for one in run:
        x, y = paper.x(one.day), lane.y(of(one) or 0.0)
        found += [(x, y), (x + paper.pitch, y)]
    return found


def _in_bank(lane: _Lane, one: DayWidth, paper: _Paper) -> Iterator[str]:
    low, high = lane.low(one), lane.high(one)
    if low is None or high is None:
        return
    x, wide = paper.x(one.day), max(paper.pitch, 1.5)
    if lane.low_limit is not None and low < lane.low_limit:
        top = lane.y(min(high, lane.low_limit))
        yield rect(x, top, wide, max(2.0, lane.y(low) - top), PAGE.act)
    if lane.high_limit is not None and high > lane.high_limit:
        foot = lane.y(max(low, lane.high_limit))
        yield rect(x, lane.y(high), wide, max(2.0, foot - lane.y(high)), PAGE.act)


def _scale(lane: _Lane, paper: _Paper) -> Iterator[str]:
    first = int(-(-lane.least // lane.step) * lane.step)
    for value in range(first, int(lane.most) + 1, lane.step):
        y = lane.y(value)
        if lane.top + 4 <= y <= lane.bottom - 4 or value in (lane.least, lane.most):
            yield text(lane.told(value), paper.left - 8, y + 6, _LETTERS, PAGE.soft, anchor="end")


def _months(paper: _Paper, foot: float) -> Iterator[str]:
    """A tick at each first of a month, and its name where there is room."""
    yield line((paper.left, foot + 4), (paper.right, foot + 4), PAGE.ink, 3)
    free = paper.left - 40
    day = paper.first.replace(day=1)
    while day <= paper.last:
        name = _MONTHS[day.month - 1] + (f" {day.year}" if day.month == 1 else "")
        at = max(paper.x(day), paper.left)
        if day >= paper.first:
            yield line((at, foot + 4), (at, foot + 14), PAGE.ink, 2)
        wide = text_width(name, _LETTERS)
        if at >= free + 8 and at + wide <= paper.right and _shown(day, paper):
            yield text(name, at, foot + 34, _LETTERS, PAGE.ink)
            free = at + wide
        day = (day + timedelta(days=32)).replace(day=1)


def _shown(day: date, paper: _Paper) -> bool:
    """The month in which the picture begins is named only where enough of it is seen."""
    return day >= paper.first or (paper.first - day).days <= 20
