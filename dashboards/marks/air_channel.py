"""The channel of a day or a week for a page: thread, banks and light, with degrees and hours.

A thinner, dashed thread is the air outdoors. What is expected lies right of now.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from dashboards.marks.ahead import ahead_of_now
from dashboards.marks.channel import Frame, ground, thread, vertical_range
from dashboards.marks.page_palette import PAGE
from dashboards.marks.svg import circle, drawing, line, path, polyline, rect, text
from dashboards.marks.text_width import text_width
from dashboards.views.banks import AirMoment
from dashboards.views.channel_view import ChannelView
from dashboards.views.local_words import degrees

_LETTERS = 18.0
_TOP = 8.0
_LEAST_C = 15.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A stroke at the lower edge; its words stand to the right of it where there is room."""

    at: datetime
    words: str = ""


def air_channel(
    view: ChannelView,
    until: datetime,
    ticks: Sequence[Tick],
    words: str,
    *,
    width: float,
    outdoors: Sequence[Sequence[AirMoment]] = (),
    height: float = 260.0,
) -> str:
    """From ``view.since`` to ``until``, which may lie ahead of ``view.now``."""
    ahead = view.ahead
    also = [moment.temperature_c for strand in outdoors for moment in strand]
    also += ahead.temperatures if ahead else ()
    low_c, high_c = vertical_range(view.strands, _LEAST_C, also)
    frame = Frame(
        left=46.0 if width < 600 else 58.0,
        right=width - 4,
        top=_TOP,
        bottom=_TOP + height,
        since=view.since,
        until=until,
        low_c=low_c,
        high_c=high_c,
    )
    parts = [
        ground(view.light, frame, PAGE),
        ahead_of_now(ahead, frame, PAGE) if ahead else "",
        thread(view.strands, frame, PAGE, stroke=3, edge=2),
        *_outdoors(outdoors, frame),
        *_degrees(frame),
        *_ticks(ticks, frame),
    ]
    if until > view.now:
        x = frame.x(view.now)
        parts.append(line((x, _TOP - 6), (x, frame.bottom + 6), PAGE.ink, 3))
        parts += _now(view, frame)
    return drawing("".join(parts), width, frame.bottom + 40, label=words)


def _outdoors(strands: Sequence[Sequence[AirMoment]], frame: Frame) -> Iterator[str]:
    for strand in strands:
        points = [(frame.x(moment.at), frame.y(moment.temperature_c)) for moment in strand]
        yield path(polyline(points), stroke=PAGE.ink, width=1.5, dashes="5 4")


def _degrees(frame: Frame) -> Iterator[str]:
    step = 5 if frame.high_c - frame.low_c <= 26 else 10
    for value in range(int(-(-frame.low_c // step) * step), int(frame.high_c) + 1, step):
        y = frame.y(value)
        if frame.top + 4 <= y <= frame.bottom:
            at = frame.left - 8
            yield text(degrees(value), at, y + 6, _LETTERS, PAGE.soft, anchor="end")


def _ticks(ticks: Sequence[Tick], frame: Frame) -> Iterator[str]:
    yield rect(frame.left, frame.bottom, frame.right - frame.left, 3, PAGE.ink)
    free = 0.0
    for tick in ticks:
        if not frame.since <= tick.at <= frame.until:
            continue
        x = frame.x(tick.at)
        yield line((x, frame.bottom), (x, frame.bottom + 10), PAGE.ink, 2)
        wide = text_width(tick.words, _LETTERS)
        if tick.words and x >= free and x + wide <= frame.right + 4:
            yield text(tick.words, x, frame.bottom + 32, _LETTERS, PAGE.ink)
            free = x + wide + 8


def _now(view: ChannelView, frame: Frame) -> Iterator[str]:
    if view.latest is not None:
        centre = (frame.x(view.now), frame.y(view.latest.temperature_c))
        yield circle(centre, 8, PAGE.ink, PAGE.paper, 3)
