"""What a text that somebody typed may hold. Pure.

A ring or a name is one line of signs that can be seen: control characters, marks that turn the
direction of writing, and signs without width would make two of them look alike on every page.
Notes and reasons may have lines, and whatever else can be shown or printed.
"""

import unicodedata

LONGEST_RING = 40
LONGEST_WHY = 500

_OF_LINES = "\n\r\t"


def text_fault(text: str, longest: int) -> str | None:
    """What is wrong with one line of text, such as a ring or a name; None where nothing is."""
    if len(text) > longest:
        return _too_long(text, longest)
    return None if text.isprintable() else "there is a sign in it that can't be seen; type it anew"


def note_fault(text: str, longest: int) -> str | None:
    """The same of a note, which may have lines."""
    if len(text) > longest:
        return _too_long(text, longest)
    if any(unicodedata.category(sign) == "Cc" for sign in text if sign not in _OF_LINES):
        return "there is a sign in it that can't be shown; type it anew"
    return None


def _too_long(text: str, longest: int) -> str:
    return f"{len(text)} letters are too many; at most {longest}"


MOST_DIGITS = 18
"""So many fit a whole number of the records."""


def whole_of(text: str) -> int | None:
    """The whole number that digits tell; None for what is none, or longer than any."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS else None
