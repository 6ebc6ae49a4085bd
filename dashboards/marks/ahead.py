"""What is expected, drawn: a flat grey width between dashed banks, and a hollow bead.

Nothing of it is filled with colour: a fill means that it happened, an outline that it may.
"""

from datetime import datetime
from typing import Protocol

from dashboards.marks.palette import Palette, mixed
from dashboards.marks.svg import Point, circle, path, polygon, polyline
from dashboards.views.ahead import Ahead, Edge, below

_DASHES = "7 7"
_WIDTH = 0.38
"""How much of the ink is in the grey of the width: seen beside the thread, and fainter."""
_BANK = 0.6


class Scale(Protocol):
    """Where a time and a temperature lie in the picture [px]."""

    @property
    def top(self) -> float: ...
    @property
    def bottom(self) -> float: ...
    @property
    def right(self) -> float: ...
    @property
    def low_c(self) -> float: ...
    @property
    def high_c(self) -> float: ...
    def x(self, at: datetime) -> float: ...
    def y(self, temperature_c: float) -> float: ...


def ahead_of_now(ahead: Ahead, frame: Scale, palette: Palette) -> str:
    """The width, the banks ahead of it, and where the low is most likely."""
    lower, upper = ahead.lower(), ahead.upper()
    shape = [*_points(upper, frame), *reversed(_points(lower, frame))]
    return "".join(
        (
            _bank(ahead, ahead.cold_c, frame, palette, border=frame.bottom),
            _bank(ahead, ahead.hot_c, frame, palette, border=frame.top),
            path(polygon(shape), fill=mixed(palette.ink, palette.paper, _WIDTH)),
            _shore(ahead, ahead.cold_c, frame, palette),
            _shore(ahead, ahead.hot_c, frame, palette),
            _may_be_in_the_bank(ahead, lower, upper, frame, palette),
            _bead(ahead, frame, palette),
        )
    )


def _bead(ahead: Ahead, frame: Scale, palette: Palette) -> str:
    if ahead.low_at is None:
        return ""
    centre = (min(frame.right, frame.x(ahead.low_at)), frame.y(ahead.middle_c))
    return circle(centre, 10, palette.paper, palette.ink, 4)


def _points(edge: tuple[Edge, ...], frame: Scale) -> list[Point]:
    return [(min(frame.right, frame.x(at)), frame.y(c)) for at, c in edge]


def _bank(
    ahead: Ahead, level_c: float | None, frame: Scale, palette: Palette, *, border: float
) -> str:
    shore = _shore_points(ahead, level_c, frame)
    if not shore:
        return ""
    solid = [*shore, (shore[1][0], border), (shore[0][0], border)]
    return path(polygon(solid), fill=mixed(palette.bank, palette.paper, _BANK))


def _shore(ahead: Ahead, level_c: float | None, frame: Scale, palette: Palette) -> str:
    """Over the width, so that it is seen how much of that lies in the bank."""
    shore = _shore_points(ahead, level_c, frame)
    return path(polyline(shore), stroke=palette.edge, width=3, dashes=_DASHES) if shore else ""


def _shore_points(ahead: Ahead, level_c: float | None, frame: Scale) -> list[Point]:
    """Empty for a bank that there is none of, or beyond the edge of the picture."""
    if level_c is None or not frame.low_c < level_c < frame.high_c:
        return []
    y = frame.y(level_c)
    return [(frame.x(ahead.since), y), (min(frame.right, frame.x(ahead.until)), y)]


def _may_be_in_the_bank(
    ahead: Ahead,
    lower: tuple[Edge, ...],
    upper: tuple[Edge, ...],
    frame: Scale,
    palette: Palette,
) -> str:
    if ahead.cold_c is None or not ahead.crosses:
        return ""
    floor = below(lower, ahead.cold_c)
    if len(floor) < 2:
        return ""
    # Its other side is the bank itself, or the upper edge where all of the width lies in it.
    roof = [(at, min(ahead.cold_c, c)) for at, c in upper if floor[0][0] <= at <= floor[-1][0]]
    ends = [(floor[-1][0], roof[-1][1] if roof else ahead.cold_c)]
    shape = [*_points(floor, frame), *_points(tuple(ends), frame)]
    shape += reversed(_points(tuple(roof), frame))
    return path(polygon(shape), stroke=palette.watch, width=6)
