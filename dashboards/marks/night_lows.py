"""The lows of the last nights as a thread over its bank, and below it how damp and wet they were.

A bead is a night. It is hollow where much of the night went unmeasured: it may have been colder.
The thread joins only nights that follow each other; a night of which nothing is known stays bare.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from dashboards.marks.night_hours import LANES, Across, lane_of_hours
from dashboards.marks.page_palette import PAGE
from dashboards.marks.svg import circle, drawing, line, path, polyline, rect, text
from dashboards.views.air_nights import NightLow
from dashboards.views.local_words import day_short, degrees

_LETTERS = 18.0
_LOWS_TOP, _LOWS_BOTTOM = 12.0, 212.0
_LEAST_C = 12.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Paper:
    left: float
    right: float
    first: date
    nights: int
    least_c: float
    most_c: float

    @property
    def pitch(self) -> float:
        return (self.right - self.left) / self.nights

    def x(self, evening: date) -> float:
        return self.left + ((evening - self.first).days + 0.5) * self.pitch

    def y(self, value_c: float) -> float:
        share = (value_c - self.least_c) / (self.most_c - self.least_c)
        return _LOWS_BOTTOM - min(1.0, max(0.0, share)) * (_LOWS_BOTTOM - _LOWS_TOP)


def night_lows_picture(
    nights: Sequence[NightLow],
    first: date,
    last: date,
    cold_c: float | None,
    words: str,
    *,
    width: float,
    damp_limit: bool = True,
) -> str:
    """The evenings ``first`` to ``last``; ``nights`` are those of which something is known.

    Without a ``damp_limit`` nothing is too damp, and that lane is left out.
    """
    lows = [one.low_c for one in nights if one.low_c is not None]
    least, most = (min(lows), max(lows)) if lows else (0.0, _LEAST_C)
    if cold_c is not None:
        least = min(least, cold_c)
    narrow = width < 600
    paper = _Paper(
        left=50.0 if narrow else 130.0,
        right=width - 6,
        first=first,
        nights=(last - first).days + 1,
        least_c=least - 2,
        most_c=max(most + 1, least + _LEAST_C),
    )
    parts = [*_ground(nights, paper, cold_c), *_scale(paper), *_threads(nights, paper)]
    parts += [_bead(one, paper, cold_c) for one in nights if one.low_c is not None]
    across = Across(left=paper.left, right=paper.right, pitch=paper.pitch, x=paper.x)
    top = _LOWS_BOTTOM + 16
    for lane in LANES if damp_limit else LANES[1:]:
        told, top = lane_of_hours(nights, lane, across, top, narrow=narrow)
        parts.append(told)
    parts += _dates(paper, first, last, top, narrow=narrow)
    return drawing("".join(parts), width, top + 26, label=words)


def _ground(nights: Sequence[NightLow], paper: _Paper, cold_c: float | None) -> Iterator[str]:
    """Only where a low is known: the paper of the other nights stays bare."""
    for run in _runs(nights):
        left = paper.x(run[0].evening) - paper.pitch / 2
        right = paper.x(run[-1].evening) + paper.pitch / 2
        wide = right - left
        yield rect(left, _LOWS_TOP, wide, _LOWS_BOTTOM - _LOWS_TOP, PAGE.dark_ground)
        if cold_c is not None:
            y = paper.y(cold_c)
            yield rect(left, y, wide, _LOWS_BOTTOM - y, PAGE.bank)
            yield line((left, y), (right, y), PAGE.edge, 2)


def _runs(nights: Sequence[NightLow]) -> list[list[NightLow]]:
    """Stretches of nights that follow each other, each with a low."""
    runs: list[list[NightLow]] = []
    for one in nights:
        if one.low_c is None:
            continue
        if runs and one.evening - runs[-1][-1].evening == timedelta(days=1):
            runs[-1].append(one)
        else:
            runs.append([one])
    return runs


def _scale(paper: _Paper) -> Iterator[str]:
    first = int(-(-paper.least_c // 5) * 5)
    for value in range(first, int(paper.most_c) + 1, 5):
        y = paper.y(value) + 6
        yield text(degrees(value), paper.left - 8, y, _LETTERS, PAGE.soft, anchor="end")


def _threads(nights: Sequence[NightLow], paper: _Paper) -> Iterator[str]:
    for run in _runs(nights):
        points = [(paper.x(one.evening), paper.y(one.low_c or 0.0)) for one in run]
        yield path(polyline(points), stroke=PAGE.ink, width=2)


def _bead(one: NightLow, paper: _Paper, cold_c: float | None) -> str:
    low_c = one.low_c or 0.0
    at = (paper.x(one.evening), paper.y(low_c))
    cold = cold_c is not None and low_c < cold_c
    colour = PAGE.act if cold else PAGE.ink
    radius = min(6.0, paper.pitch * 0.42)
    fill = colour if one.whole else PAGE.paper
    sag = line((at[0], paper.y(cold_c or 0.0)), at, PAGE.act, radius) if cold else ""
    return sag + circle(at, radius, fill, colour, 2)


def _dates(paper: _Paper, first: date, last: date, top: float, *, narrow: bool) -> Iterator[str]:
    every = 10 if narrow else 5
    evening = last
    while evening >= first:
        x = paper.x(evening)
        yield line((x, top - 14), (x, top - 4), PAGE.ink, 2)
        anchor = "end" if evening == last else "middle"
        yield text(
            day_short(evening),
            x + (6 if anchor == "end" else 0),
            top + 16,
            _LETTERS,
            PAGE.ink,
            anchor=anchor,
        )
        evening -= timedelta(days=every)
