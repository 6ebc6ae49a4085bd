"""Numbers written as text, in decimal notation, such as ``21.4``."""

import math
import re

MAX_CHARACTERS = 64
_NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?")
_BEGINS_AS_NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]*)?\s*\D")


def number_in(text: str) -> float | None:
    """The finite number that the text is; None for any other text."""
    told = text.strip()
    if len(told) > MAX_CHARACTERS or not _NUMBER.fullmatch(told):
        return None
    value = float(told)
    return value if math.isfinite(value) else None


def why_no_number(text: str) -> str:
    """What may have gone wrong with a text that is no number; empty where nobody knows."""
    if _NUMBER.fullmatch(text):
        return ": it is too large"
    if "," in text:
        return ": it has a comma, where a point should be"
    if _BEGINS_AS_NUMBER.match(text):
        return ": something follows the digits (the unit is stated by the feed)"
    return ""
