"""One egg or chick that a box holds, as a mark. Colour never enters one."""

from dashboards.marks.nest_marks import egg, hatched, lost, out_of_box, ring
from dashboards.marks.svg import drawing, element, line, path, polygon, text
from dashboards.views.nest_holds import Holding, Mark

WIDTH, HEIGHT = 84.0, 64.0
INK = "currentColor"
"""The ink of the words around it, so that it prints black by night too."""


def holding_mark(one: Holding) -> str:
    """The mark, 84 x 64 px."""
    drawn = _DRAWN[one.mark](one.number)
    spoken = f"{'egg' if one.mark in (Mark.EGG, Mark.LOST) else 'chick'} {one.number}, {one.words}"
    if one.mark is Mark.AWAY:
        spoken = f"{one.number}, {one.words}"
    return drawing(drawn, WIDTH, HEIGHT, label=spoken)


def _egg(number: int) -> str:
    return egg(42, 32, 52, INK, number=number)


def _chick(number: int) -> str:
    """The shell parted, and the line that swells."""
    swell = [(46.0, 37.0), (82.0, 27.0), (82.0, 47.0), (46.0, 41.0)]
    return (
        hatched(24, 34, 44, INK)
        + path(polygon(swell), fill=INK)
        + text(str(number), 64, 20, 22, INK, bold=True, anchor="middle")
    )


def _ringed(number: int) -> str:
    swell = [(4.0, 37.0), (50.0, 25.0), (50.0, 49.0), (4.0, 41.0)]
    return (
        path(polygon(swell), fill=INK)
        + ring(66, 38, 44, INK)
        + text(str(number), 28, 20, 22, INK, bold=True, anchor="middle")
    )


def _out(number: int) -> str:
    return out_of_box(48, 34, 48, INK) + text(
        str(number), 16, 26, 22, INK, bold=True, anchor="middle"
    )


def _lost(number: int) -> str:
    return (
        egg(24, 32, 44, INK, number=number)
        + line((46, 32), (68, 32), INK, 3)
        + lost(70, 32, 34, INK)
    )


def _away(number: int) -> str:
    """An outline of dashes, and a way out."""
    gone = element("g", egg(24, 32, 44, INK, number=number), stroke_dasharray="6 5")
    tip = "M70 24L80 32L70 40M46 32H80"
    return gone + path(tip, stroke=INK, width=3)


_DRAWN = {
    Mark.EGG: _egg,
    Mark.CHICK: _chick,
    Mark.RINGED: _ringed,
    Mark.OUT: _out,
    Mark.LOST: _lost,
    Mark.AWAY: _away,
}
