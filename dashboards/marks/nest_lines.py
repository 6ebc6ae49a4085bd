"""A nest on one axis of days: the air above, one line for each egg below.

Days with the thread in a bank drop a grey shadow through the eggs. It shows the time that
was shared, not a cause: no colour, no arrow.
"""

from collections.abc import Sequence
from datetime import datetime
from html import escape

from dashboards.marks.channel import Frame, ground, thread, vertical_range
from dashboards.marks.nest_marks import due_mark, egg, hatched, lost
from dashboards.marks.palette import Palette
from dashboards.marks.svg import circle, drawing, element, line, path, polygon, rect, text
from dashboards.marks.text_width import text_width
from dashboards.views.banks import AirMoment
from dashboards.views.channel_view import ChannelView, LightSpan
from dashboards.views.local_words import degrees
from dashboards.views.nest_view import DueSpan, EggLine, NestPicture
from service.nests.due import DueKind

WIDTH = 1200.0
LEFT, RIGHT = 70.0, 1184.0
CHANNEL_TOP, CHANNEL_BOTTOM = 8.0, 178.0
FIRST_ROW, ROW = 282.0, 70.0


def nest_picture(view: NestPicture, palette: Palette) -> str:
    """The picture of the desk. ``view`` has at least one egg."""
    frame = Frame(
        left=LEFT,
        right=RIGHT,
        top=CHANNEL_TOP,
        bottom=CHANNEL_BOTTOM,
        since=view.since,
        until=view.until,
        low_c=0,
        high_c=1,
    )
    axis = FIRST_ROW + ROW * len(view.eggs) - 8
    drawn = [
        rect(0, 0, WIDTH, axis + 70, palette.paper),
        _air(view, frame, palette, axis),
        _sitting(view, frame, palette),
        *(
            _egg_line(one, FIRST_ROW + n * ROW, view, frame, palette)
            for n, one in enumerate(view.eggs)
        ),
        _axis(view, frame, palette, axis),
    ]
    return drawing("".join(drawn), WIDTH, axis + 70, label=view.spoken, name="nest")


def _air(view: NestPicture, frame: Frame, palette: Palette, axis: float) -> str:
    now_x = frame.x(view.now)
    top, bottom = frame.top, frame.bottom
    ahead = rect(
        now_x,
        top,
        frame.right - now_x,
        bottom - top,
        palette.paper,
        stroke=palette.bank,
        stroke_width=2,
        dashes="7 7",
    )
    drawn = [ahead]
    middle = (now_x + frame.right) / 2
    for words, y in (("air not lived yet", 87), (view.ahead, 117)):
        if text_width(words, 22) < frame.right - now_x - 16:
            drawn.append(text(words, middle, y, 22, palette.soft, anchor="middle"))
    if view.channel is None or not view.channel.strands:
        drawn.append(text("no air was measured", frame.left + 10, 100, 22, palette.soft))
        return "".join(drawn)
    channel = view.channel
    low_c, high_c = vertical_range(channel.strands, 15.0)
    scaled = Frame(
        left=frame.left,
        right=frame.right,
        top=top,
        bottom=bottom,
        since=frame.since,
        until=frame.until,
        low_c=low_c,
        high_c=high_c,
    )
    drawn.append(ground(_lived(channel, frame.since), scaled, palette))
    drawn.append(thread(channel.strands, scaled, palette, stroke=3, edge=2))
    drawn.append(_shadows(channel.strands, scaled, palette, axis))
    drawn.append(_degrees(scaled, palette))
    return "".join(drawn)


def _lived(channel: ChannelView, since: datetime) -> list[LightSpan]:
    return [span for span in channel.light if span.until > since]


def _degrees(frame: Frame, palette: Palette) -> str:
    first = int(-(-frame.low_c // 5) * 5)
    return "".join(
        text(degrees(value), frame.left - 10, frame.y(value) + 7, 20, palette.soft, anchor="end")
        for value in range(first, int(frame.high_c) + 1, 5)
    )


def in_bank(
    strands: Sequence[Sequence[AirMoment]],
) -> list[tuple[datetime, datetime]]:
    """From when to when the thread was in a bank, oldest first; within a strand each."""
    found: list[tuple[datetime, datetime]] = []
    for strand in strands:
        start: datetime | None = None
        end = strand[0].at
        for moment in strand:
            wet = moment.spare_c is not None and moment.spare_c < 0
            if wet:
                start = start or moment.at
                end = moment.at
            elif start is not None:
                found.append((start, end))
                start = None
        if start is not None:
            found.append((start, end))
    return found


def _shadows(
    strands: Sequence[Sequence[AirMoment]], frame: Frame, palette: Palette, axis: float
) -> str:
    return "".join(
        rect(
            frame.x(since),
            frame.bottom,
            max(3.0, frame.x(until) - frame.x(since)),
            axis - 18 - frame.bottom,
            palette.dark_ground,
        )
        for since, until in in_bank(strands)
        if until >= frame.since
    )


def _sitting(view: NestPicture, frame: Frame, palette: Palette) -> str:
    if view.sits_from is None or view.sits_from >= view.now:
        return ""
    start, end = frame.x(view.sits_from), frame.x(min(view.sits_until or view.now, view.now))
    bend = min(24.0, max(4.0, (end - start) / 3))
    bow = path(
        f"M{start:.1f} 216Q{start + bend * 0.3:.1f} 234 {start + bend:.1f} 234H{end:.1f}",
        stroke=palette.ink,
        width=6,
        cap="round",
    )
    return bow + _over_shadow(view.sits_words, start + 34, 224, palette)


def _over_shadow(words: str, x: float, y: float, palette: Palette) -> str:
    """Words with a rim of paper, so that a shadow below them takes nothing away."""
    return element(
        "text",
        escape(words),
        x=x,
        y=y,
        font_size=21.0,
        fill=palette.ink,
        stroke=palette.paper,
        stroke_width=6.0,
        paint_order="stroke",
    )


def _egg_line(one: EggLine, y: float, view: NestPicture, frame: Frame, palette: Palette) -> str:
    start = frame.x(one.laid)
    drawn = []
    born = frame.x(one.hatched) if one.hatched else None
    ends = frame.x(one.ended) if one.ended else None
    stop = born if born is not None else ends if ends is not None else frame.x(view.now)
    until = max(start + 16, stop - 14 if born else stop)
    drawn.append(line((start + 16, y), (until, y), palette.ink, 3))
    if born is not None:
        end = ends if ends is not None else frame.x(view.now)
        drawn.append(_chick(max(born + 16, start + 40), end, y, palette))
        drawn.append(hatched(max(born, start + 28), y, 30, palette.ink))
    if ends is not None and one.end_words:
        drawn.append(lost(ends + 2, y, 32, palette.ink))
        drawn.append(_over_shadow(one.end_words, ends + 14, y + 7, palette))
    drawn.append(egg(start, y, 38, palette.ink, ground=palette.paper, number=one.number))
    if one.home:
        drawn.append(_over_shadow(f"of {one.home}", start + 24, y - 9, palette))
    drawn.extend(_due(due, y, frame, palette) for due in one.dues)
    if one.dues and one.ended is None:
        far = frame.x(one.dues[-1].since)
        near = frame.x(view.now)
        if far > near:
            drawn.insert(0, line((near, y), (far, y), palette.edge, 2, dashes="3 7"))
    return "".join(drawn)


def _chick(start: float, end: float, y: float, palette: Palette) -> str:
    """The line swells as the days pass."""
    if end <= start:
        return ""
    thick = min(11.0, 3.0 + (end - start) / 17)
    shape = [
        (start, y - 1.5),
        (end, y - thick / 2),
        (end, y + thick / 2),
        (start, y + 1.5),
    ]
    return path(polygon(shape), fill=palette.ink)


def _due(due: DueSpan, y: float, frame: Frame, palette: Palette) -> str:
    left, right = frame.x(due.since), frame.x(due.until)
    knot = (left + right) / 2
    drawn = [
        line((left, y), (knot, y + 15), palette.edge, 2.5),
        line((right, y), (knot, y + 15), palette.edge, 2.5),
        line((left, y), (max(right, left + 4), y), palette.ink, 8),
        due_mark(due.kind, knot, y + 32, 24, palette.ink),
    ]
    if due.words:
        x = right + 14
        if due.kind in (DueKind.HATCH, DueKind.RING) and x < frame.right - 260:
            drawn.append(_over_shadow(due.words, x, y + 28, palette))
    return "".join(drawn)


def _axis(view: NestPicture, frame: Frame, palette: Palette, axis: float) -> str:
    now_x = frame.x(view.now)
    drawn = [
        line((frame.left, axis), (frame.right, axis), palette.ink, 4),
        line((now_x, 4), (now_x, axis), palette.ink, 3),
        circle((now_x, axis), 10, palette.ink, palette.paper, 3),
    ]
    for tick in view.ticks:
        x = frame.x(tick.at)
        drawn.append(line((x, axis), (x, axis + 12), palette.ink, 3))
        drawn.append(text(tick.day, x, axis + 38, 20, palette.ink, anchor="middle"))
        drawn.append(text(tick.count, x, axis + 62, 20, palette.soft, anchor="middle"))
    return "".join(drawn)
