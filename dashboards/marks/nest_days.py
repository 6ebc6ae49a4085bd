"""A nest on a phone: days run downwards, the air on the left, one column for each egg.

It is the picture of the desk, turned: what lay below (cold and damp) lies on the left.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from dashboards.marks.channel import Frame, ground, thread, vertical_range
from dashboards.marks.nest_lines import in_bank
from dashboards.marks.nest_marks import due_mark, egg, hatched
from dashboards.marks.palette import Palette
from dashboards.marks.svg import drawing, element, line, path, polygon, rect, text
from dashboards.views.nest_view import DueSpan, EggLine, NestPicture

WIDTH = 358.0
TOP = 34.0
DAY = 13.0
AIR_LEFT, AIR_RIGHT = 70.0, 150.0
EGGS_LEFT, EGGS_RIGHT = 172.0, 352.0
_EGG = 26.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Days:
    """Where an instant lies, downwards [px]."""

    since: datetime
    until: datetime
    bottom: float

    def y(self, at: datetime) -> float:
        share = (at - self.since) / (self.until - self.since)
        return TOP + min(1.0, max(0.0, share)) * (self.bottom - TOP)


def nest_days(view: NestPicture, palette: Palette) -> str:
    """The picture for a phone. ``view`` has at least one egg."""
    days = (view.until - view.since).total_seconds() / 86400
    bottom = TOP + days * DAY
    scale = _Days(since=view.since, until=view.until, bottom=bottom)
    pitch = min(40.0, (EGGS_RIGHT - EGGS_LEFT) / max(1, len(view.eggs)))
    columns = [EGGS_LEFT + pitch * (n + 0.4) for n in range(len(view.eggs))]
    now_y = scale.y(view.now)
    drawn = [
        rect(0, 0, WIDTH, bottom + 20, palette.paper),
        _shadows(view, scale, palette),
        _air(view, scale, palette),
        _dates(view, scale, palette),
        line((0, now_y), (WIDTH, now_y), palette.ink, 3),
        *(
            _egg(one, x, view.now, scale, palette)
            for one, x in zip(view.eggs, columns, strict=True)
        ),
    ]
    return drawing("".join(drawn), WIDTH, bottom + 20, label=view.spoken, name="nest-days")


def _air(view: NestPicture, scale: _Days, palette: Palette) -> str:
    """The channel, drawn lying and then turned, so that it is the same channel."""
    now_y = scale.y(view.now)
    ahead = rect(
        AIR_LEFT,
        now_y,
        AIR_RIGHT - AIR_LEFT,
        scale.bottom - now_y,
        palette.paper,
        stroke=palette.bank,
        stroke_width=2,
        dashes="7 7",
    )
    if view.channel is None or not view.channel.strands:
        return ahead
    low_c, high_c = vertical_range(view.channel.strands, 15.0)
    frame = Frame(
        left=TOP,
        right=scale.bottom,
        top=-AIR_RIGHT,
        bottom=-AIR_LEFT,
        since=view.since,
        until=view.until,
        low_c=low_c,
        high_c=high_c,
    )
    lit = [span for span in view.channel.light if span.until > view.since]
    lying = ground(lit, frame, palette)
    lying += thread(view.channel.strands, frame, palette, stroke=2.5, edge=1.5)
    return ahead + element("g", lying, transform="rotate(90)", **{"class": "turned"})


def _shadows(view: NestPicture, scale: _Days, palette: Palette) -> str:
    if view.channel is None:
        return ""
    return "".join(
        rect(
            AIR_RIGHT,
            scale.y(since),
            WIDTH - AIR_RIGHT,
            max(3.0, scale.y(until) - scale.y(since)),
            palette.dark_ground,
        )
        for since, until in in_bank(view.channel.strands)
        if until >= view.since
    )


def _dates(view: NestPicture, scale: _Days, palette: Palette) -> str:
    drawn = []
    for tick in view.ticks:
        y = scale.y(tick.at)
        drawn.append(line((AIR_LEFT - 8, y), (AIR_LEFT, y), palette.ink, 2))
        drawn.append(text(tick.day, 0, y + 6, 18, palette.ink))
    return "".join(drawn)


def _egg(one: EggLine, x: float, now: datetime, scale: _Days, palette: Palette) -> str:
    size = _EGG
    start = scale.y(one.laid)
    stops = [at for at in (one.hatched, one.ended) if at is not None]
    stop = scale.y(stops[0] if stops else now)
    drawn = [line((x, start), (x, stop), palette.ink, 3)]
    if one.hatched is not None:
        drawn.append(_chick(x, scale.y(one.hatched) + size / 2, scale.y(one.ended or now), palette))
        drawn.append(hatched(x, max(stop, start + size), size * 0.8, palette.ink))
    if one.ended is not None and one.end_words:
        end = scale.y(one.ended)
        drawn.append(line((x - 11, end), (x + 11, end), palette.ink, 5))
    drawn.append(egg(x, start, size, palette.ink, ground=palette.paper, number=one.number))
    drawn.extend(_due(due, x, scale, palette) for due in one.dues)
    return "".join(drawn)


def _chick(x: float, start: float, end: float, palette: Palette) -> str:
    if end <= start:
        return ""
    half = min(6.0, 1.5 + (end - start) / 40)
    shape: Sequence[tuple[float, float]] = [
        (x - 1.5, start),
        (x - half, end),
        (x + half, end),
        (x + 1.5, start),
    ]
    return path(polygon(shape), fill=palette.ink)


def _due(due: DueSpan, x: float, scale: _Days, palette: Palette) -> str:
    top, bottom = scale.y(due.since), scale.y(due.until)
    knot = (top + bottom) / 2
    return (
        line((x, top), (x - 11, knot), palette.edge, 2)
        + line((x, bottom), (x - 11, knot), palette.edge, 2)
        + line((x, top), (x, max(bottom, top + 4)), palette.ink, 7)
        + due_mark(due.kind, x - 21, knot, 15, palette.ink)
    )
