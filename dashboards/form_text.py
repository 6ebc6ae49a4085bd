"""The text of a form."""

from starlette.datastructures import FormData


def text_of(form: FormData) -> dict[str, str]:
    """Its fields by name; of one that was sent twice, the last; files are left out."""
    return {name: value for name, value in form.multi_items() if isinstance(value, str)}
