"""The channel as a drawing: a thread between two banks, light as the ground.

Colour appears only where the thread is in a bank (filled: it happened). Where nothing was
measured the paper stays bare; the thread breaks at a gap and is never joined across it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from dashboards.marks.ahead import ahead_of_now
from dashboards.marks.palette import Palette
from dashboards.marks.svg import Point, circle, element, line, path, polygon, polyline, rect
from dashboards.views.banks import AirMoment
from dashboards.views.channel_view import ChannelView, LightSpan


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Where a channel lies [px], and which times and temperatures its edges are."""

    left: float
    right: float
    top: float
    bottom: float
    since: datetime
    until: datetime
    low_c: float
    high_c: float

    def x(self, at: datetime) -> float:
        """Across."""
        share = (at - self.since) / (self.until - self.since)
        return self.left + share * (self.right - self.left)

    def y(self, temperature_c: float) -> float:
        """Down; what is beyond an edge lies on it."""
        share = (temperature_c - self.low_c) / (self.high_c - self.low_c)
        return self.bottom - min(1.0, max(0.0, share)) * (self.bottom - self.top)


def vertical_range(
    strands: Sequence[Sequence[AirMoment]], least_c: float, also_c: Sequence[float] = ()
) -> tuple[float, float]:
    """Lowest and highest temperature of the picture: whole degrees, at least ``least_c`` apart.

    It never shrinks below ``least_c``, so that a calm night never looks steep. ``also_c`` are
    further temperatures that the picture has to have room for.
    """
    temperatures = [moment.temperature_c for strand in strands for moment in strand]
    temperatures += also_c
    if not temperatures:
        return 5.0, 5.0 + least_c
    low, high = min(temperatures), max(temperatures)
    span = max(least_c, high - low + 2)
    bottom = float(round((low + high - span) / 2))
    return bottom, bottom + span


def ground(spans: Sequence[LightSpan], frame: Frame, palette: Palette) -> str:
    """Light as measured."""
    return "".join(
        rect(
            left,
            frame.top,
            right - left,
            frame.bottom - frame.top,
            palette.light_ground if span.bright else palette.dark_ground,
        )
        for span in spans
        for left, right in [
            (frame.x(max(span.since, frame.since)), frame.x(min(span.until, frame.until)))
        ]
        if right > left
    )


def thread(
    strands: Sequence[Sequence[AirMoment]],
    frame: Frame,
    palette: Palette,
    *,
    stroke: float,
    edge: float = 3,
) -> str:
    """Banks, what is in them, and the thread itself."""
    drawn = []
    for strand in strands:
        drawn.append(_bank(strand, frame, palette, edge, upper=False))
        drawn.append(_bank(strand, frame, palette, edge, upper=True))
        drawn.append(_in_the_bank(strand, frame, palette))
    drawn.extend(_line(strand, frame, palette.ink, stroke) for strand in strands)
    return "".join(drawn)


def _line(strand: Sequence[AirMoment], frame: Frame, ink: str, stroke: float) -> str:
    points = [(frame.x(m.at), frame.y(m.temperature_c)) for m in strand]
    if len(points) == 1:  # a lone reading is a dot
        points.append(points[0])
    return path(polyline(points), stroke=ink, width=stroke, cap="round")


def _runs(
    strand: Sequence[AirMoment], level: Callable[[AirMoment], float | None]
) -> list[list[tuple[AirMoment, float]]]:
    """Stretches in which there is a bank."""
    runs: list[list[tuple[AirMoment, float]]] = [[]]
    for moment in strand:
        value = level(moment)
        if value is None:
            runs.append([])
        else:
            runs[-1].append((moment, value))
    return [run for run in runs if run]


def _bank(
    strand: Sequence[AirMoment], frame: Frame, palette: Palette, edge: float, *, upper: bool
) -> str:
    border = frame.top if upper else frame.bottom
    drawn = []
    for run in _runs(strand, _upper if upper else _lower):
        shore = [(frame.x(moment.at), frame.y(value)) for moment, value in run]
        if len(shore) == 1:
            shore.append((shore[0][0] + 1, shore[0][1]))
        solid = [*shore, (shore[-1][0], border), (shore[0][0], border)]
        drawn.append(path(polygon(solid), fill=palette.bank))
        drawn.append(path(polyline(shore), stroke=palette.edge, width=edge))
    return "".join(drawn)


def _lower(moment: AirMoment) -> float | None:
    """A closed channel is solid: the lower bank reaches up to the other's edge and beyond."""
    return moment.low_c


def _upper(moment: AirMoment) -> float | None:
    return moment.high_c


def _in_the_bank(strand: Sequence[AirMoment], frame: Frame, palette: Palette) -> str:
    """Fill between thread and bank, from crossing to crossing."""
    return "".join(
        path(polygon(shape), fill=palette.act)
        for level, side in ((_lower, 1.0), (_upper, -1.0))
        for run in _runs(strand, level)
        for shape in _pools(run, frame, side)
    )


def _pools(run: Sequence[tuple[AirMoment, float]], frame: Frame, side: float) -> list[list[Point]]:
    """Shapes in which the thread is past the bank; ``side`` is 1 for below, -1 for above."""
    pools: list[list[Point]] = []
    shore: list[Point] = []
    thread_: list[Point] = []

    def close() -> None:
        if len(shore) > 1:
            pools.append([*thread_, *reversed(shore)])
        shore.clear()
        thread_.clear()

    previous: tuple[AirMoment, float] | None = None
    for moment, bank in run:
        depth = (bank - moment.temperature_c) * side
        if previous is not None:
            crossing = _crossing(previous, (moment, bank), side, frame)
            if crossing is not None:
                shore.append(crossing)
                thread_.append(crossing)
                if depth <= 0:
                    close()
        if depth > 0:
            shore.append((frame.x(moment.at), frame.y(bank)))
            thread_.append((frame.x(moment.at), frame.y(moment.temperature_c)))
        previous = (moment, bank)
    close()
    return pools


def _crossing(
    one: tuple[AirMoment, float], other: tuple[AirMoment, float], side: float, frame: Frame
) -> Point | None:
    before = (one[1] - one[0].temperature_c) * side
    after = (other[1] - other[0].temperature_c) * side
    if (before > 0) == (after > 0):
        return None
    share = before / (before - after)
    at = one[0].at + (other[0].at - one[0].at) * share
    bank = one[1] + (other[1] - one[1]) * share
    return frame.x(at), frame.y(bank)


def hours(frame: Frame, every: Sequence[datetime], palette: Palette) -> str:
    """Short ticks at the lower edge."""
    return "".join(
        line((frame.x(at), frame.bottom), (frame.x(at), frame.bottom - 12), palette.ink, 3)
        for at in every
        if frame.since <= at <= frame.until
    )


def hatch(pattern: str, palette: Palette) -> str:
    """Sloping lines: nothing is heard. Refer to it as ``url(#pattern)``."""
    stroke = element(
        "path", d="M-5 5L5 -5M-5 27L27 -5M17 27L27 17", stroke=palette.not_live, stroke_width=3.5
    )
    return element(
        "pattern",
        element("g", stroke, opacity="0.55"),
        id=pattern,
        width=22.0,
        height=22.0,
        patternUnits="userSpaceOnUse",
    )


def wall_channel(
    view: ChannelView,
    palette: Palette,
    *,
    top: float,
    bottom: float,
    now_x: float,
    width: float,
    ticks: Sequence[datetime],
    cut: bool,
) -> str:
    """The channel of the wall, edge to edge: what was on the left of now, and on the right what
    is expected, as far as anybody can tell; else bare paper.

    ``cut``: nothing is heard any more. The thread ends in a slash and hatch covers the rest.
    """
    span = view.now - view.since
    ahead = None if cut else view.ahead
    low_c, high_c = vertical_range(view.strands, 15.0, ahead.temperatures if ahead else ())
    frame = Frame(
        left=0,
        right=width,
        top=top,
        bottom=bottom,
        since=view.since,
        until=view.since + span * (width / now_x),
        low_c=low_c,
        high_c=high_c,
    )
    drawn = [
        ground(_until(view.light, view.now), frame, palette),
        ahead_of_now(ahead, frame, palette) if ahead else "",
        thread(view.strands, frame, palette, stroke=8),
    ]
    if cut:
        end = frame.x(view.heard_until) if view.heard_until else 0.0
        end = max(0.0, end)
        drawn.append(rect(end + 8, top, width - end, bottom - top, palette.paper))
        drawn.append(rect(end + 8, top, width - end, bottom - top, "url(#silent)"))
        drawn.append(line((end - 14, bottom), (end + 30, top), palette.not_live, 8))
        drawn.append(hours(frame, ticks, palette))
        return "".join(drawn)
    drawn.append(hours(frame, ticks, palette))
    drawn.append(line((now_x, top - 6), (now_x, bottom + 6), palette.ink, 3))
    if view.latest is not None:
        centre = (min(now_x, frame.x(view.latest.at)), frame.y(view.latest.temperature_c))
        drawn.append(circle(centre, 15, palette.ink, palette.paper, 4))
    return "".join(drawn)


def _until(spans: Sequence[LightSpan], end: datetime) -> list[LightSpan]:
    return [replace(span, until=min(span.until, end)) for span in spans if span.since < end]


def hour_ticks(since: datetime, until: datetime, every_h: int) -> list[datetime]:
    """Full hours that are multiples of ``every_h`` in the zone of ``since``."""
    at = since.replace(minute=0, second=0, microsecond=0)
    found = []
    while at <= until:
        if at.astimezone(since.tzinfo).hour % every_h == 0:
            found.append(at)
        at += timedelta(hours=1)
    return found
