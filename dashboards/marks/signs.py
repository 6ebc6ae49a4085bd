"""The three signs: what becomes of the thread. Each differs in form, not only in colour."""

from enum import StrEnum

from dashboards.marks.svg import line, path


class Sign(StrEnum):
    """The thread is in a bank, is heading there, or is cut. ``…_UP`` is the upper bank."""

    ACT = "act"
    ACT_UP = "act up"
    WATCH = "watch"
    WATCH_UP = "watch up"
    NOT_LIVE = "not live"


def sign(which: Sign, x: float, y: float, size: float, colour: str) -> str:
    """A sign in a square of ``size`` whose upper left corner is (x, y)."""
    match which:
        case Sign.ACT | Sign.ACT_UP:
            return _act(x, y, size, colour, up=which is Sign.ACT_UP)
        case Sign.WATCH | Sign.WATCH_UP:
            return _watch(x, y, size, colour, up=which is Sign.WATCH_UP)
        case Sign.NOT_LIVE:
            return _not_live(x, y, size, colour)


def _act(x: float, y: float, size: float, colour: str, *, up: bool) -> str:
    """A level bar with a solid sag drawn to a point; turned over for hot and dry."""

    def at(u: float, v: float) -> str:
        return f"{x + u * size:.1f} {y + (1 - v if up else v) * size:.1f}"

    bar = path(
        f"M{at(0, 0.13)}L{at(1, 0.13)}L{at(1, 0.27)}L{at(0, 0.27)}Z",
        fill=colour,
    )
    sag = path(
        f"M{at(0.1, 0.2)}C{at(0.32, 0.3)} {at(0.42, 0.72)} {at(0.5, 0.9)}"
        f"C{at(0.58, 0.72)} {at(0.68, 0.3)} {at(0.9, 0.2)}Z",
        fill=colour,
    )
    return bar + sag


def _watch(x: float, y: float, size: float, colour: str, *, up: bool) -> str:
    """A hollow sag above a bar."""

    def at(u: float, v: float) -> str:
        return f"{x + u * size:.1f} {y + (1 - v if up else v) * size:.1f}"

    sag = path(
        f"M{at(0.04, 0.17)}C{at(0.28, 0.17)} {at(0.28, 0.6)} {at(0.5, 0.6)}"
        f"S{at(0.72, 0.17)} {at(0.96, 0.17)}",
        stroke=colour,
        width=size * 0.11,
    )
    bar = path(f"M{at(0.04, 0.84)}L{at(0.96, 0.84)}", stroke=colour, width=size * 0.13)
    return sag + bar


def _not_live(x: float, y: float, size: float, colour: str) -> str:
    """The thread, cut by a slash."""
    middle = y + size / 2
    left = line((x, middle), (x + size * 0.35, middle), colour, size * 0.13)
    right = line((x + size * 0.74, middle), (x + size, middle), colour, size * 0.13)
    slash = line(
        (x + size * 0.34, y + size * 0.92), (x + size * 0.66, y + size * 0.08), colour, size * 0.11
    )
    return left + right + slash
