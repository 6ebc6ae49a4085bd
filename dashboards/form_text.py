"""The text of a form."""

from collections.abc import Mapping

from starlette.datastructures import FormData

from service.errors import InputError
from service.nests.typed_text import LONGEST_WHY, note_fault


def text_of(form: FormData) -> dict[str, str]:
    """Its fields by name; of one that was sent twice, the last; files are left out."""
    return {name: value for name, value in form.multi_items() if isinstance(value, str)}


def texts_of(form: FormData) -> dict[str, list[str]]:
    """Its fields by name, each with all that was sent of it; files are left out."""
    found: dict[str, list[str]] = {}
    for name, value in form.multi_items():
        if isinstance(value, str):
            found.setdefault(name, []).append(value)
    return found


def why_of(sent: Mapping[str, str]) -> str | None:
    """The reason that a form gives for a change, None where it gives none.

    Raises:
        InputError: it is too long, or holds what can't be shown; nothing of it is cut off.
    """
    why = sent.get("why", "").strip()
    if (fault := note_fault(why, LONGEST_WHY)) is not None:
        raise InputError(f"Why: {fault}.")
    return why or None
