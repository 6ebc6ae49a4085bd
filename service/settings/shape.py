"""What each key says by itself: pydantic's findings, retold in the words of the tables."""

import difflib
from collections.abc import Iterator
from typing import Annotated, Any, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from service.settings.faults import MISSING, Fault, KeyPath
from service.settings.tables import ConfigurationFile


def read_shape(document: dict[str, object]) -> ConfigurationFile | tuple[Fault, ...]:
    """The file as tables, or every fault of a single key in it."""
    try:
        return ConfigurationFile.model_validate(document)
    except ValidationError as error:
        found = error.errors(include_url=False, include_context=False)
        return tuple(_fault(one["loc"], one["type"], one["input"]) for one in found)


def _fault(path: KeyPath, kind: str, value: object) -> Fault:
    if kind == "extra_forbidden":
        return _unknown_key(path, value)
    allowed = _allowed_at(path)
    if kind == "missing":
        return Fault(path=path, value=MISSING, problem="is missing", allowed=allowed)
    return Fault(path=path, value=value, allowed=allowed)


def _unknown_key(path: KeyPath, value: object) -> Fault:
    table, _ = _walk(path[:-1])
    known = sorted(field.alias or name for name, field in table.model_fields.items())
    near = difflib.get_close_matches(str(path[-1]).lower(), known, n=1)
    meant = f'; did you mean "{near[0]}"?' if near else ""
    return Fault(
        path=path, value=value, problem=f"is not a known key{meant}", allowed=", ".join(known)
    )


def _allowed_at(path: KeyPath) -> str:
    return _walk(path)[1]


def _walk(path: KeyPath) -> tuple[Any, str]:
    """The type at ``path`` in the tables and what is allowed there."""
    kind: Any = ConfigurationFile
    words = ""
    for step in path:
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            field = _field(kind, str(step))
            found = field.description, *(_plain(field.annotation))
        else:  # an item of a list, or a value of a table with free keys
            found = None, *_plain(get_args(kind)[-1])
        described, kind, own_words = found
        words = described or own_words or words
    return kind, words


def _field(table: type[BaseModel], key: str) -> FieldInfo:
    fields = table.model_fields
    return next(field for name, field in fields.items() if (field.alias or name) == key)


def _plain(annotation: Any) -> tuple[Any, str | None]:
    """A type without ``Annotated`` and ``| None``, and the description found on the way."""
    if get_origin(annotation) is Annotated:
        kind, *extras = get_args(annotation)
        return _plain(kind)[0], next(_descriptions(extras), None)
    choices = [choice for choice in get_args(annotation) if choice is not type(None)]
    if type(None) in get_args(annotation) and choices:
        return _plain(choices[0])
    return annotation, None


def _descriptions(extras: list[Any]) -> Iterator[str]:
    for extra in extras:
        if isinstance(extra, FieldInfo) and extra.description:
            yield extra.description
