"""How long something was the case in each of the last nights: bars that hang from a line.

Filled is what happened, an outline what may have been. A dot on the line is a night without any;
where there is neither bar nor dot nobody knows.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from dashboards.marks.page_palette import PAGE
from dashboards.marks.svg import circle, line, rect, text
from dashboards.marks.text_width import text_width
from dashboards.views.air_nights import NightLow

_LETTERS = 18.0
_HOUR_PX = 4.0
_MARK_H = 5.0
_MOST_H = 14.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Across:
    """Where each night lies."""

    left: float
    right: float
    pitch: float
    x: Callable[[date], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """``sure`` are the hours of a night that are known, ``may`` how many there may have been."""

    name: str
    colour: str
    sure: Callable[[NightLow], float | None]
    may: Callable[[NightLow], float | None] = lambda _: None


LANES = (
    Lane(name="too damp", colour=PAGE.act, sure=lambda one: one.damp_h),
    Lane(
        name="wet panes",
        colour=PAGE.ink,
        sure=lambda one: one.wet_h,
        may=lambda one: one.wet_may_h,
    ),
)


def lane_of_hours(
    nights: Sequence[NightLow], lane: Lane, across: Across, top: float, *, narrow: bool
) -> tuple[str, float]:
    """The drawing, and where the next may begin. On a narrow paper the name stands above."""
    sill = top + (24 if narrow else 4)
    parts = [
        text(lane.name, across.left if narrow else 0, top + 14, _LETTERS, PAGE.ink),
        line((across.left, sill), (across.right, sill), PAGE.edge, 2),
    ]
    if all(lane.sure(one) is None for one in nights):
        x = across.left + (text_width(lane.name, _LETTERS) + 8 if narrow else 0)
        parts.append(text("not known", x, top + (14 if narrow else 24), _LETTERS, PAGE.soft))
        return "".join(parts), sill + 34
    longest = max(_MARK_H, *(_longest(one, lane) for one in nights))
    parts += _mark(across, sill, narrow=narrow)
    for one in nights:
        parts += _bar(one, lane, across, sill)
    return "".join(parts), sill + min(longest, _MOST_H) * _HOUR_PX + 30


def _longest(one: NightLow, lane: Lane) -> float:
    return max(lane.sure(one) or 0.0, lane.may(one) or 0.0)


def _mark(across: Across, sill: float, *, narrow: bool) -> Iterator[str]:
    """Where five hours are."""
    y = sill + _MARK_H * _HOUR_PX
    yield line((across.left, y), (across.right, y), PAGE.bank, 1, dashes="2 6")
    x = across.left - 6
    yield text("5 h", x, y + (6 if narrow else 12), _LETTERS, PAGE.soft, anchor="end")


def _bar(one: NightLow, lane: Lane, across: Across, sill: float) -> Iterator[str]:
    sure, may = lane.sure(one), lane.may(one)
    if sure is None:
        return
    x, half = across.x(one.evening), min(7.0, across.pitch * 0.35)
    if sure <= 0 and not may:
        yield circle((x, sill), 2.5, PAGE.edge, PAGE.edge, 0)
        return
    if sure > 0:
        yield rect(x - half, sill, 2 * half, _px(sure), lane.colour)
    if may is not None and may > sure:
        yield rect(x - half, sill, 2 * half, _px(may), "none", stroke=lane.colour, stroke_width=1.5)


def _px(hours: float) -> float:
    return max(3.0, min(hours, _MOST_H) * _HOUR_PX)
