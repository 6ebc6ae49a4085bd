"""A share with its doubt: a rail from none to all, a thick part that holds the truth nine times in
ten, and two cords from its ends to the share itself. A wide V is a doubtful share.

Drawn in the colour of the words around it, so that night and paper need no second drawing.
"""

from dashboards.marks.svg import element, line
from service.nests.share import Share

WIDTH, HEIGHT = 300.0, 40.0
_LEFT, _RIGHT = 6.0, WIDTH - 6.0
_RAIL, _FOOT = 10.0, 34.0
_INK = "currentColor"


def share_mark(share: Share, words: str) -> str:
    """The mark as a whole SVG; ``words`` are what it says, for whoever can't see it.

    Nothing but the bare rail where nothing is known; no cords where there is too little to say.
    """
    drawn = line((_LEFT, _RAIL), (_RIGHT, _RAIL), _INK, 2)
    drawn += line((_LEFT, 4), (_LEFT, 16), _INK, 2) + line((_RIGHT, 4), (_RIGHT, 16), _INK, 2)
    interval = share.interval()
    if interval is not None:
        low, high = _x(interval.low), _x(interval.high)
        if share.says_something and share.value is not None:
            at = (_x(share.value), _FOOT)
            drawn += line((low, _RAIL), (high, _RAIL), _INK, 9)
            drawn += line((low, _RAIL), at, _INK, 2) + line((high, _RAIL), at, _INK, 2)
            drawn += element("circle", cx=at[0], cy=at[1], r=4, fill=_INK)
        else:
            drawn += element(
                "rect",
                x=low,
                y=_RAIL - 4.5,
                width=high - low,
                height=9,
                fill="none",
                stroke=_INK,
                stroke_width=2,
                stroke_dasharray="6 4",
            )
    return element(
        "svg",
        drawn,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {WIDTH:g} {HEIGHT:g}",
        role="img",
        aria_label=words,
    )


def _x(share: float) -> float:
    return _LEFT + share * (_RIGHT - _LEFT)
