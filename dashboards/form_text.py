"""The text of a form."""

from starlette.datastructures import FormData


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
