"""The light of the last days, one row a day from midnight to midnight, as it was seen.

Light ground is light, dark ground dark; where nobody saw it the paper is bare, with dashes. Two
strokes in each row are when the lamps were meant to go on and off; dots are sunrise and sunset.
"""

from collections.abc import Callable, Iterator, Sequence

from dashboards.marks.page_palette import PAGE
from dashboards.marks.svg import circle, drawing, line, rect, text
from dashboards.views.air_light import LightRow
from dashboards.views.local_words import day_short

_LETTERS = 18.0
_PITCH = 15.0
_TOP = 30.0


def light_raster(rows: Sequence[LightRow], words: str, *, width: float) -> str:
    """``rows`` are oldest first; the newest is drawn at the foot."""
    if not rows:
        return ""
    narrow = width < 600
    left, right = (66.0 if narrow else 74.0), width - (12 if narrow else 20)
    foot = _TOP + len(rows) * _PITCH
    scale = (right - left) / 24

    def x(hour: float) -> float:
        return left + hour * scale

    parts = [*_hours(x, foot, every=6 if narrow else 3)]
    for number, row in enumerate(rows):
        top = _TOP + number * _PITCH
        parts += _row(row, x, top)
        newest = len(rows) - 1 - number
        if newest % 5 == 0:
            parts.append(
                text(day_short(row.day), left - 8, top + 13, _LETTERS, PAGE.ink, anchor="end")
            )
    return drawing("".join(parts), width, foot + 12, label=words)


def _hours(x: Callable[[float], float], foot: float, *, every: int) -> Iterator[str]:
    for hour in range(0, 25, every):
        yield text(f"{hour}", x(hour), 18, _LETTERS, PAGE.soft, anchor="middle")
        yield line((x(hour), 22), (x(hour), foot + 8), PAGE.bank, 1.5)


def _row(row: LightRow, x: Callable[[float], float], top: float) -> Iterator[str]:
    high = _PITCH - 2
    middle = top + high / 2
    yield line((x(0), middle), (x(row.until_h), middle), PAGE.edge, 1.5, dashes="3 6")
    for one in row.stretches:
        colour = PAGE.light_ground if one.lit else PAGE.dark_ground
        yield rect(x(one.from_h), top, x(one.to_h) - x(one.from_h), high, colour)
    for hour in row.lamps or ():
        yield line((x(hour), top - 1), (x(hour), top + _PITCH - 1), PAGE.ink, 3)
    for hour in row.sun or ():
        yield circle((x(hour), top + high / 2), 2.6, PAGE.edge, PAGE.paper, 1)
