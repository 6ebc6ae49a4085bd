"""How wide words are in the font that is served, so that what must fit is known to fit.

Widths come from the glyph advances of the very files that the pages serve (Atkinson
Hyperlegible, SIL Open Font Licence). Kerning is left out: it mostly draws letters nearer,
so a text that fits here fits on the screen.
"""

from functools import cache
from importlib.resources import as_file, files
from pathlib import Path

from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

REGULAR = "AtkinsonHyperlegible-Regular.ttf"
BOLD = "AtkinsonHyperlegible-Bold.ttf"
ELLIPSIS = "…"


def font_file(name: str) -> Path:
    """Where the installed font package keeps one of its font files."""
    with as_file(files("fontpkg_atkinson_hyperlegible") / "files" / name) as path:
        return path


def licence_text() -> str:
    """The licence of the fonts, as their package ships it."""
    return (files("fontpkg_atkinson_hyperlegible") / "LICENSE").read_text(encoding="utf-8")


@cache
def _advances(name: str) -> tuple[dict[int, int], int, int]:
    """Advance by code point, that of a missing glyph, and units per em."""
    font = TTFont(font_file(name))
    widths = font["hmtx"].metrics
    by_code = {code: widths[glyph][0] for code, glyph in font.getBestCmap().items()}
    missing = widths[".notdef"][0]
    units: int = font["head"].unitsPerEm
    font.close()
    return by_code, missing, units


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Width [px] of one line of ``text`` at ``size`` [px].

    A letter that the font lacks is drawn by another font: it is counted as a full em,
    which is never too little for a script that runs from left to right.
    """
    by_code, missing, units = _advances(BOLD if bold else REGULAR)
    wide = max(units, missing)
    return sum(by_code.get(ord(letter), wide) for letter in text) * size / units


def fits(text: str, width: float, size: float, *, bold: bool = False) -> bool:
    """Whether ``text`` is at most ``width`` [px] wide."""
    return text_width(text, size, bold=bold) <= width


def cut_to(text: str, width: float, size: float, *, bold: bool = False) -> str:
    """``text``, cut short with an ellipsis where it is too wide. For names, not for news."""
    if fits(text, width, size, bold=bold):
        return text
    kept = text
    while kept and not fits(kept.rstrip() + ELLIPSIS, width, size, bold=bold):
        kept = kept[:-1]
    return kept.rstrip() + ELLIPSIS
