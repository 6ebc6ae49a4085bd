"""A table of a scenario file as a part's own parameters: field by field, every fault told.

A part's parameters are a frozen dataclass; its ranges are those of ``impossible.py``.
"""

from collections import abc
from collections.abc import Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import timedelta
from functools import reduce
from operator import or_
from types import GenericAlias, UnionType
from typing import Annotated, Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Strict,
    ValidationError,
    create_model,
)

from simulated_feeds.impossible import ImpossibleParameterError, span_of

P = TypeVar("P")

_UNITS = {"s": 1.0, "min": 60.0, "h": 3600.0, "d": 86400.0}


def _duration(told: object) -> object:
    """A number and s, min, h or d."""
    if isinstance(told, timedelta):
        return told
    match str(told).split():
        case [number, unit] if unit in _UNITS:
            try:
                return timedelta(seconds=float(number) * _UNITS[unit])
            except (ValueError, OverflowError):
                pass
    raise ValueError("write a number and s, min, h or d, like 30 min")


# By default true would pass for 1.0 and "2" for 2.
_AS_TOLD: dict[Any, Any] = {
    float: Annotated[float, Strict()],
    int: Annotated[int, Strict()],
    bool: Annotated[bool, Strict()],
    str: Annotated[str, Strict()],
    timedelta: Annotated[timedelta, BeforeValidator(_duration)],
}


def _hint(hint: Any) -> Any:
    if hint in _AS_TOLD:
        return _AS_TOLD[hint]
    if is_dataclass(hint):
        kind = cast(type[Any], hint)
        return Annotated[hint, BeforeValidator(lambda told: _nested(kind, told))]
    origin, arguments = get_origin(hint), get_args(hint)
    if origin is abc.Mapping:
        # Keys of a TOML table are texts, whatever they are here.
        return GenericAlias(dict, (arguments[0], _hint(arguments[1])))
    inner = tuple(_hint(each) if each is not Ellipsis else each for each in arguments)
    if origin in (Union, UnionType):
        return reduce(or_, inner)
    return origin[inner] if inner and origin in (tuple, dict) else hint


def _nested(kind: type[Any], told: object) -> object:
    if not isinstance(told, dict):
        return told
    faults: list[str] = []
    made = part(kind, told, kind.__name__, faults)
    if faults:
        raise ValueError("; ".join(faults))
    return made


def _model(kind: type[Any]) -> type[BaseModel]:
    hints = get_type_hints(kind)
    told: dict[str, Any] = {
        each.name: (_hint(hints[each.name]), ... if _must_be_given(each) else None)
        for each in fields(kind)
    }
    settings = ConfigDict(extra="forbid", allow_inf_nan=False, arbitrary_types_allowed=True)
    return create_model(kind.__name__, __config__=settings, **told)


def _must_be_given(each: "Field[Any]") -> bool:
    return each.default is MISSING and each.default_factory is MISSING


def part(
    kind: type[P],
    table: Mapping[str, Any],
    where: str,
    faults: list[str],
    given: Mapping[str, Any] | None = None,
) -> P | None:
    """The parameters of a kind from a table; what is left out has its default.

    Args:
        kind: a frozen dataclass.
        table: from a TOML file.
        where: what the table is called, for the words.
        faults: gets a sentence for every fault; then None is returned.
        given: fields that are known from elsewhere; the table can't say otherwise.
    """
    known = dict(given or {})
    set_twice = [f"{where}.{name} can't be set here" for name in known if name in table]
    if set_twice:
        faults.extend(set_twice)
        return None
    try:
        read = _model(kind).model_validate({**known, **table})
    except ValidationError as error:
        faults.extend(sentences(error, where, kind))
        return None
    values = {name: getattr(read, name) for name in read.model_fields_set}
    try:
        return kind(**values)
    except ImpossibleParameterError as error:
        faults.append(f"{where}.{error}")
    except ValueError as error:
        faults.append(f"{where}: {error}")
    return None


def sentences(error: ValidationError, where: str, kind: type[Any] | None = None) -> list[str]:
    """Every fault that pydantic found: thing, value, and what is allowed."""
    told = []
    for fault in error.errors():
        path = ".".join([*([where] if where else []), *(str(step) for step in fault["loc"])])
        told.append(f"{path or 'the file'}{_words(fault, kind)}")
    return told


def _words(fault: Any, kind: type[Any] | None) -> str:
    match fault["type"]:
        case "missing":
            return " is missing"
        case "extra_forbidden":
            known = "" if kind is None else f"; there are {', '.join(f.name for f in fields(kind))}"
            return f" is not known here{known}"
    words = fault["msg"].removeprefix("Value error, ")
    span = span_of(kind, str(fault["loc"][0])) if kind is not None and fault["loc"] else None
    allowed = "" if span is None else f"; allowed is {span}"
    value = fault["input"]
    shown = "" if isinstance(value, dict) else f" is {value!r}"
    return f"{shown}: {words[:1].lower()}{words[1:]}{allowed}"
