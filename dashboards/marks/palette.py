"""The colours, by day and by night. Colour never speaks alone: form and word come first.

Grey means well. Ratios are those of WCAG 2.2 (contrast ratio); text on the wall has at
least 7:1 on the ground it stands on.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Palette:
    """One set of colours. ``bar`` and ``bar_ink`` are the solid act bar and its words.

    ``bar_edge`` is a line along the bar's upper side; None where the bar needs none.
    """

    name: str
    paper: str
    light_ground: str
    dark_ground: str
    bank: str
    ink: str
    soft: str
    edge: str
    act: str
    watch: str
    not_live: str
    bar: str
    bar_ink: str
    bar_edge: str | None


DAY = Palette(
    name="day",
    paper="#E3E4E2",
    light_ground="#F4F4F2",
    dark_ground="#C6C8C6",
    bank="#A3A6A3",
    ink="#1A1B1A",
    soft="#434543",
    edge="#5B5E5B",
    act="#8E0B30",
    watch="#5F3A00",
    not_live="#2B3F80",
    bar="#8E0B30",
    bar_ink="#FFFFFF",
    bar_edge=None,
)

NIGHT = Palette(
    name="night",
    paper="#0B0A09",
    light_ground="#2E2A25",
    dark_ground="#171512",
    bank="#3B362F",
    ink="#CDBBA1",
    soft="#A8987F",
    edge="#807565",  # a little lighter than first drawn, to reach 3:1 on the light ground
    act="#FF9C86",
    watch="#E3AE55",
    not_live="#A9B4E8",
    bar="#4A130B",
    bar_ink="#FFC2B4",
    bar_edge="#FF9C86",
)


def mixed(over: str, under: str, share: float) -> str:
    """The flat colour of ``share`` (0 to 1) of one colour over another.

    Both ``#RRGGBB``, or both names of a style sheet, which then mixes them itself.
    """
    if not over.startswith("#"):
        return f"color-mix(in srgb, {over} {share:.0%}, {under})"
    parts = (
        round(int(over[i : i + 2], 16) * share + int(under[i : i + 2], 16) * (1 - share))
        for i in (1, 3, 5)
    )
    return "#" + "".join(f"{part:02X}" for part in parts)


def luminance(colour: str) -> float:
    """Relative luminance, 0 (black) to 1 (white), of ``#RRGGBB``.

    Source: Web Content Accessibility Guidelines (WCAG) 2.2, definition of relative luminance.
    """
    channels = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    red, green, blue = (
        c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21, of two colours.

    Source: Web Content Accessibility Guidelines (WCAG) 2.2, definition of contrast ratio.
    """
    brighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (brighter + 0.05) / (darker + 0.05)
