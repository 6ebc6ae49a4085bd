"""Small marks for what happens in a nest, one ink each. Colour never enters one.

Every mark is drawn about a middle point in a square of ``size`` and stays legible at 24 px.
"""

from dashboards.marks.svg import circle, line, path, text
from service.nests.due import DueKind


def egg(
    x: float, y: float, size: float, ink: str, *, ground: str = "none", number: int | None = None
) -> str:
    """A plain outline, fuller below; the laying number inside."""
    s = size
    shape = (
        f"M{x:.1f} {y - 0.5 * s:.1f}"
        f"C{x + 0.296 * s:.1f} {y - 0.5 * s:.1f} {x + 0.388 * s:.1f} {y + 0.025 * s:.1f} "
        f"{x + 0.363 * s:.1f} {y + 0.19 * s:.1f}"
        f"C{x + 0.333 * s:.1f} {y + 0.41 * s:.1f} {x + 0.185 * s:.1f} {y + 0.5 * s:.1f} "
        f"{x:.1f} {y + 0.5 * s:.1f}"
        f"C{x - 0.185 * s:.1f} {y + 0.5 * s:.1f} {x - 0.333 * s:.1f} {y + 0.41 * s:.1f} "
        f"{x - 0.363 * s:.1f} {y + 0.19 * s:.1f}"
        f"C{x - 0.388 * s:.1f} {y + 0.025 * s:.1f} {x - 0.296 * s:.1f} {y - 0.5 * s:.1f} "
        f"{x:.1f} {y - 0.5 * s:.1f}Z"
    )
    outline = path(shape, fill=ground, stroke=ink, width=max(2.0, 0.06 * s))
    if number is None:
        return outline
    return outline + text(str(number), x, y + 0.27 * s, 0.57 * s, ink, bold=True, anchor="middle")


def candle(x: float, y: float, size: float, ink: str) -> str:
    """An egg held in a beam of light."""
    beam = path(
        f"M{x - 0.5 * size:.1f} {y + 0.5 * size:.1f}L{x:.1f} {y + 0.2 * size:.1f}"
        f"L{x + 0.5 * size:.1f} {y + 0.5 * size:.1f}",
        stroke=ink,
        width=max(2.0, 0.06 * size),
    )
    return egg(x, y - 0.12 * size, size * 0.72, ink) + beam


def hatched(x: float, y: float, size: float, ink: str) -> str:
    """The shell parted, its cap set aside."""
    s = size
    width = max(2.0, 0.055 * s)
    bowl = path(
        f"M{x - 0.36 * s:.1f} {y + 0.06 * s:.1f}"
        f"C{x - 0.36 * s:.1f} {y + 0.4 * s:.1f} {x - 0.18 * s:.1f} {y + 0.5 * s:.1f} "
        f"{x:.1f} {y + 0.5 * s:.1f}"
        f"C{x + 0.18 * s:.1f} {y + 0.5 * s:.1f} {x + 0.36 * s:.1f} {y + 0.4 * s:.1f} "
        f"{x + 0.36 * s:.1f} {y + 0.06 * s:.1f}Z",
        stroke=ink,
        width=width,
    )
    cap = path(
        f"M{x - 0.22 * s:.1f} {y - 0.15 * s:.1f}"
        f"C{x - 0.18 * s:.1f} {y - 0.475 * s:.1f} {x - 0.02 * s:.1f} {y - 0.6 * s:.1f} "
        f"{x + 0.126 * s:.1f} {y - 0.55 * s:.1f}"
        f"C{x + 0.288 * s:.1f} {y - 0.5 * s:.1f} {x + 0.4 * s:.1f} {y - 0.3 * s:.1f} "
        f"{x + 0.396 * s:.1f} {y - 0.025 * s:.1f}Z",
        stroke=ink,
        width=width,
    )
    return bowl + cap


def ring(x: float, y: float, size: float, ink: str) -> str:
    """A small band across an upright."""
    half, tall = 0.25 * size, 0.25 * size
    upright = line((x, y - size / 2), (x, y - tall / 2), ink, 0.1 * size)
    upright += line((x, y + tall / 2), (x, y + size / 2), ink, 0.1 * size)
    band = path(
        f"M{x - half:.1f} {y - tall / 2:.1f}h{2 * half:.1f}v{tall:.1f}h{-2 * half:.1f}Z",
        stroke=ink,
        width=max(2.0, 0.07 * size),
    )
    return upright + band


def out_of_box(x: float, y: float, size: float, ink: str) -> str:
    """A line that leaves its sill."""
    sill = line(
        (x - 0.5 * size, y + 0.35 * size), (x + 0.05 * size, y + 0.35 * size), ink, 0.1 * size
    )
    way = path(
        f"M{x - 0.25 * size:.1f} {y + 0.35 * size:.1f}"
        f"C{x:.1f} {y + 0.25 * size:.1f} {x + 0.2 * size:.1f} {y:.1f} "
        f"{x + 0.4 * size:.1f} {y - 0.45 * size:.1f}",
        stroke=ink,
        width=max(2.0, 0.07 * size),
    )
    return sill + way


def hide(x: float, y: float, size: float, ink: str) -> str:
    """A roof on the floor: somewhere to hide."""
    return path(
        f"M{x - 0.5 * size:.1f} {y + 0.4 * size:.1f}V{y:.1f}L{x:.1f} {y - 0.35 * size:.1f}"
        f"L{x + 0.5 * size:.1f} {y:.1f}V{y + 0.4 * size:.1f}",
        stroke=ink,
        width=max(2.0, 0.08 * size),
    )


def apart(x: float, y: float, size: float, ink: str) -> str:
    """Two uprights with a gap: the young stand on their own."""
    return line(
        (x - 0.25 * size, y - 0.4 * size), (x - 0.25 * size, y + 0.4 * size), ink, 0.1 * size
    ) + line((x + 0.25 * size, y - 0.15 * size), (x + 0.25 * size, y + 0.4 * size), ink, 0.1 * size)


def whole(x: float, y: float, size: float, ink: str) -> str:
    """Three eggs under one bow: the clutch is complete."""
    s = size
    eggs = "".join(egg(x + n * 0.34 * s, y + 0.14 * s, 0.5 * s, ink) for n in (-1, 0, 1))
    bow = path(
        f"M{x - 0.5 * s:.1f} {y - 0.2 * s:.1f}Q{x:.1f} {y - 0.6 * s:.1f} "
        f"{x + 0.5 * s:.1f} {y - 0.2 * s:.1f}",
        stroke=ink,
        width=max(2.0, 0.07 * s),
    )
    return eggs + bow


def feeds(x: float, y: float, size: float, ink: str) -> str:
    """A dish with seed in it."""
    s = size
    dish = path(
        f"M{x - 0.5 * s:.1f} {y:.1f}H{x + 0.5 * s:.1f}L{x + 0.3 * s:.1f} {y + 0.4 * s:.1f}"
        f"H{x - 0.3 * s:.1f}Z",
        stroke=ink,
        width=max(2.0, 0.08 * s),
    )
    dots = ((-0.24, -0.14), (0.0, -0.2), (0.24, -0.14))
    return dish + "".join(
        circle((x + dx * s, y + dy * s), max(1.0, 0.05 * s), ink, ink, 1) for dx, dy in dots
    )


def box_off(x: float, y: float, size: float, ink: str) -> str:
    """A box away from its wall."""
    s = size
    wall = line((x - 0.42 * s, y - 0.5 * s), (x - 0.42 * s, y + 0.5 * s), ink, 0.1 * s)
    box = path(
        f"M{x - 0.1 * s:.1f} {y - 0.32 * s:.1f}H{x + 0.5 * s:.1f}V{y + 0.36 * s:.1f}"
        f"H{x - 0.1 * s:.1f}Z",
        stroke=ink,
        width=max(2.0, 0.07 * s),
    )
    return wall + box


def look_in(x: float, y: float, size: float, ink: str) -> str:
    """A box with its lid raised."""
    s = size
    box = path(
        f"M{x - 0.4 * s:.1f} {y - 0.05 * s:.1f}V{y + 0.5 * s:.1f}H{x + 0.4 * s:.1f}"
        f"V{y - 0.05 * s:.1f}",
        stroke=ink,
        width=max(2.0, 0.07 * s),
    )
    lid = line((x - 0.4 * s, y - 0.05 * s), (x + 0.375 * s, y - 0.425 * s), ink, max(2.0, 0.07 * s))
    return box + lid


def lost(x: float, y: float, height: float, ink: str) -> str:
    """A stop at the end of a line."""
    return line((x, y - height / 2), (x, y + height / 2), ink, max(3.0, 0.15 * height))


_MARKS = {
    DueKind.NEXT_EGG: egg,
    DueKind.CLUTCH_COMPLETE: whole,
    DueKind.CANDLE: candle,
    DueKind.HATCH: hatched,
    DueKind.RING: ring,
    DueKind.HIDE_IN: hide,
    DueKind.FLEDGE: out_of_box,
    DueKind.INDEPENDENT: feeds,
    DueKind.SPLIT: apart,
    DueKind.BOX_OFF: box_off,
}


def due_mark(kind: DueKind, x: float, y: float, size: float, ink: str) -> str:
    """The mark of what is to come."""
    return _MARKS[kind](x, y, size, ink)
