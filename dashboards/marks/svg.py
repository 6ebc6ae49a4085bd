"""Writing SVG: every value that reaches the text is escaped here, and nowhere else."""

from collections.abc import Sequence
from html import escape

FONT = "'Atkinson Hyperlegible','DejaVu Sans Condensed',Arial,sans-serif"

Point = tuple[float, float]


def number(value: float) -> str:
    """A coordinate, to a tenth of a pixel."""
    text = f"{value:.1f}"
    return text.removesuffix(".0")


def element(name: str, content: str = "", /, **attributes: str | float | None) -> str:
    """One element. ``content`` is SVG that is ready; attributes are escaped.

    Underscores in names of attributes become hyphens; an attribute of None is left out.
    """
    parts = [name]
    for key, value in attributes.items():
        if value is None:
            continue
        told = value if isinstance(value, str) else number(value)
        parts.append(f'{key.rstrip("_").replace("_", "-")}="{escape(told)}"')
    opened = " ".join(parts)
    return f"<{opened}>{content}</{name}>" if content else f"<{opened}/>"


def text(
    words: str,
    x: float,
    y: float,
    size: float,
    colour: str,
    *,
    bold: bool = False,
    anchor: str = "start",
) -> str:
    """One line of words; what they say is escaped."""
    return element(
        "text",
        escape(words),
        x=x,
        y=y,
        font_size=size,
        fill=colour,
        font_weight="700" if bold else "400",
        text_anchor=None if anchor == "start" else anchor,
    )


def line(start: Point, end: Point, colour: str, width: float, *, dashes: str | None = None) -> str:
    """A straight stroke."""
    return element(
        "line",
        x1=start[0],
        y1=start[1],
        x2=end[0],
        y2=end[1],
        stroke=colour,
        stroke_width=width,
        stroke_dasharray=dashes,
    )


def rect(
    x: float,
    y: float,
    width: float,
    height: float,
    fill: str,
    *,
    stroke: str | None = None,
    stroke_width: float | None = None,
    dashes: str | None = None,
) -> str:
    """A rectangle with square corners."""
    return element(
        "rect",
        x=x,
        y=y,
        width=max(0.0, width),
        height=max(0.0, height),
        fill=fill,
        stroke=stroke,
        stroke_width=stroke_width,
        stroke_dasharray=dashes,
    )


def circle(centre: Point, radius: float, fill: str, stroke: str, stroke_width: float) -> str:
    """A bead."""
    return element(
        "circle",
        cx=centre[0],
        cy=centre[1],
        r=radius,
        fill=fill,
        stroke=stroke,
        stroke_width=stroke_width,
    )


def path(
    shape: str,
    *,
    fill: str = "none",
    stroke: str | None = None,
    width: float | None = None,
    cap: str | None = None,
    dashes: str | None = None,
) -> str:
    """A path whose ``d`` is ready."""
    return element(
        "path",
        d=shape,
        fill=fill,
        stroke=stroke,
        stroke_width=width,
        stroke_linejoin="round" if stroke else None,
        stroke_linecap=cap,
        stroke_dasharray=dashes,
    )


def polyline(points: Sequence[Point]) -> str:
    """The ``d`` of an open line through the points; empty for none."""
    if not points:
        return ""
    told = [f"{number(x)} {number(y)}" for x, y in points]
    return "M" + "L".join(told)


def polygon(points: Sequence[Point]) -> str:
    """The ``d`` of a closed shape; empty for none."""
    return polyline(points) + "Z" if points else ""


def drawing(
    content: str, width: float, height: float, *, label: str, name: str | None = None
) -> str:
    """A whole picture that says in words what it shows to those who can't see it."""
    return element(
        "svg",
        content,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(width)} {number(height)}",
        font_family=FONT,
        role="img",
        aria_label=label,
        id=name,
    )
