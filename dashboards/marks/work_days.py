"""Minutes a day on the rail: what was taken hangs left of now, what is to come right of it.

A day that was timed hangs as a bead; a day to come as a hollow bar from the fewest to the most
minutes that it may take, with a stroke at what it comes to on the average. What is supposed
hangs beside it in dashes. On a phone the rail stands upright and the days run downwards.
Drawn in the colour of the words around it, so that night and paper need no second drawing.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from dashboards.marks.svg import Point, circle, drawing, line, rect, text
from dashboards.views.local_words import day_short

_INK, _EDGE = "currentColor", "var(--edge)"
_LETTERS = 18.0
_STEPS_MIN = (15, 30, 60, 120, 240, 480)
_MOST_LINES = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkBar:
    """A day to come, in minutes."""

    day: date
    low: float
    mean: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkDays:
    """``taken`` are days that were timed, ``ahead`` those to come, today first, and ``supposed``
    the same days with what is supposed; empty where nothing is.
    """

    taken: Sequence[tuple[date, float]]
    ahead: Sequence[WorkBar]
    supposed: Sequence[WorkBar] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Paper:
    """Where a day and a number of minutes lie. ``upright`` lets the days run downwards."""

    first: date
    pitch: float
    scale: float
    rail: float
    begin: float
    upright: bool

    def at(self, day: date, minutes: float, beside: float = 0.0) -> Point:
        along = self.begin + ((day - self.first).days + 0.5) * self.pitch + beside
        across = self.rail + minutes * self.scale
        return (across, along) if self.upright else (along, across)


def work_days(days: WorkDays, words: str, *, upright: bool = False) -> str:
    """The picture as a whole SVG; ``words`` say what it shows to whoever can't see it."""
    if not days.ahead:
        return ""
    first = min([day for day, _ in days.taken] + [days.ahead[0].day])
    last = days.ahead[-1].day
    most = max(
        [bar.high for bar in (*days.ahead, *days.supposed)] + [taken for _, taken in days.taken]
    )
    count = (last - first).days + 1
    length, breadth = (count * 17.0, 290.0) if upright else (1110.0, 260.0)
    paper = _Paper(
        first=first,
        pitch=length / count,
        scale=(breadth - 24) / max(most, 1.0),
        rail=74.0 if upright else 40.0,
        begin=34.0 if upright else 60.0,
        upright=upright,
    )
    drawn = "".join(
        (
            *_grid(paper, first, last, most),
            *_rail(paper, first, last, days.ahead[0].day),
            *(_bar(paper, bar, -3.0 if days.supposed else 0.0) for bar in days.ahead),
            *(_bar(paper, bar, 4.0, supposed=True) for bar in days.supposed),
            *(_bead(paper, day, minutes) for day, minutes in days.taken),
        )
    )
    if upright:
        return drawing(drawn, 374, paper.begin + length + 10, label=words)
    return drawing(drawn, 1190, paper.rail + breadth + 10, label=words)


def step_of(most: float) -> int:
    """Between which minutes the thin lines lie, so that there are few."""
    return next((step for step in _STEPS_MIN if most / step <= _MOST_LINES), _STEPS_MIN[-1])


def _grid(paper: _Paper, first: date, last: date, most: float) -> Iterator[str]:
    step = step_of(most)
    for minutes in range(step, int(most) + 1, step):
        yield line(paper.at(first, minutes, -6), paper.at(last, minutes, 6), _EDGE, 1, dashes="2 6")
        told = f"{minutes} min" if minutes < 60 else f"{minutes / 60:g} h"
        x, y = paper.at(first, minutes, -6)
        if paper.upright:
            yield text(told, x, paper.begin - 12, _LETTERS, _INK, anchor="middle")
        else:
            yield text(told, paper.begin - 6, y + 6, _LETTERS, _INK, anchor="end")


def _rail(paper: _Paper, first: date, last: date, today: date) -> Iterator[str]:
    yield line(paper.at(first, 0, -6), paper.at(last, 0, 6), _INK, 5)
    day = first + timedelta(days=-first.weekday() % 7)
    while day <= last:
        x, y = paper.at(day, 0)
        if (day - today).days not in range(-2, 3):
            if paper.upright:
                yield text(day_short(day), paper.rail - 10, y + 6, _LETTERS, _INK, anchor="end")
            else:
                yield text(day_short(day), x, paper.rail - 16, _LETTERS, _INK, anchor="middle")
        tick = (x - 7, y) if paper.upright else (x, y - 9)
        yield line(tick, (x, y), _INK, 2)
        day += timedelta(days=7)
    x, y = paper.at(today, 0)
    yield circle((x, y), 9, _INK, "var(--paper)", 2)
    if paper.upright:
        yield text("now", paper.rail - 14, y + 6, _LETTERS, _INK, bold=True, anchor="end")
    else:
        yield text("now", x, paper.rail - 16, _LETTERS, _INK, bold=True, anchor="middle")


def _bar(paper: _Paper, bar: WorkBar, beside: float, *, supposed: bool = False) -> str:
    half = 3.0
    ends = [
        paper.at(bar.day, bar.low, beside - half),
        paper.at(bar.day, bar.high, beside + half),
    ]
    left, right = sorted(point[0] for point in ends)
    top, foot = sorted(point[1] for point in ends)
    drawn = line(paper.at(bar.day, 0, beside), paper.at(bar.day, bar.low, beside), _EDGE, 1)
    drawn += rect(
        left,
        top,
        max(right - left, 1.0),
        max(foot - top, 1.0),
        "none",
        stroke=_INK,
        stroke_width=1.5,
        dashes="3 2" if supposed else None,
    )
    mean = (paper.at(bar.day, bar.mean, beside - half), paper.at(bar.day, bar.mean, beside + half))
    return drawn + line(*mean, _INK, 3)


def _bead(paper: _Paper, day: date, minutes: float) -> str:
    cord = line(paper.at(day, 0), paper.at(day, minutes), _EDGE, 1)
    return cord + circle(paper.at(day, minutes), 4, _INK, _INK, 0)
