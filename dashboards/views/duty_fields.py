"""Single fields of the duties' forms. Each raises InputError: thing, value, what is allowed."""

import math
from datetime import date, time

from service.errors import InputError
from service.nests.typed_text import note_fault, text_fault


def line_in(text: str, most: int, what: str) -> str:
    """One line of text, all of which can be seen."""
    return _without(text_fault(text, most), text, what)


def lines_in(text: str, most: int, what: str) -> str:
    """Text that may have lines."""
    return _without(note_fault(text, most), text, what)


def _without(fault: str | None, text: str, what: str) -> str:
    if fault is not None:
        raise InputError(f"{what}: {fault}.")
    return text


def whole_in(text: str, least: int, most: int, what: str) -> int:
    """A whole number."""
    if text.isascii() and text.isdigit() and len(text) <= 6 and least <= int(text) <= most:
        return int(text)
    raise InputError(
        f"{what}: {_shown(text)} is not allowed; allowed: a whole number, {least} to {most}."
    )


def number_in(text: str, least: float, most: float, what: str) -> float:
    """A number, with a point or a comma."""
    try:
        number = float(text.replace(",", ".").replace("\N{MINUS SIGN}", "-"))
    except ValueError:
        number = math.nan
    if least <= number <= most:
        return number
    raise InputError(
        f"{what}: {_shown(text)} is not allowed; allowed: a number, {least:g} to {most:g}."
    )


def day_in(text: str, what: str) -> date:
    """A day that a calendar of this century has."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        day = date.min
    if 2000 <= day.year <= 2099:
        return day
    raise InputError(f"{what}: {_shown(text)} is no day; allowed: a day such as 2026-03-01.")


def time_in(text: str, what: str) -> time:
    """A time of the day, to the minute."""
    try:
        return time.fromisoformat(text).replace(second=0, microsecond=0, tzinfo=None)
    except ValueError as error:
        raise InputError(
            f"{what}: {_shown(text)} is no time; allowed: a time such as 15:00."
        ) from error


def _shown(text: str) -> str:
    return text[:20] or "nothing"
