"""A table of a scenario file as a part's own parameters: field by field, every fault told.

A part's parameters are a frozen dataclass; its ranges are those of ``impossible.py``.
"""

from collections import abc
from collections.abc import Iterable, Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import date, time, timedelta
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

from simulated_feeds.impossible import ImpossibleParameterError, shown, span_of
from simulated_feeds.scenario_files.told_values import clock_time, duration

P = TypeVar("P")

# By default true would pass for 1.0 and "2" for 2.
_AS_TOLD: dict[Any, Any] = {
    float: Annotated[float, Strict()],
    int: Annotated[int, Strict()],
    bool: Annotated[bool, Strict()],
    str: Annotated[str, Strict()],
    timedelta: Annotated[timedelta, BeforeValidator(duration)],
    time: Annotated[time, BeforeValidator(clock_time), Strict()],
    date: Annotated[date, Strict()],
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
    made = part(kind, told, "", faults)
    if faults:
        raise _InnerFaultsError(faults)
    return made


class _InnerFaultsError(ValueError):
    """What is wrong in a table within a table; each begins with a key of the inner one."""

    def __init__(self, faults: list[str]) -> None:
        super().__init__("; ".join(faults))
        self.faults = faults


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
    set_twice = [f"{_path(where, name)} can't be set here" for name in known if name in table]
    if set_twice:
        faults.extend(set_twice)
        return None
    try:
        read = _model(kind).model_validate({**known, **table})
    except ValidationError as error:
        names = [each.name for each in fields(kind)]  # type: ignore[arg-type]
        faults.extend(sentences(error, where, names, kind))
        return None
    values = {name: getattr(read, name) for name in read.model_fields_set}
    try:
        return kind(**values)
    except ImpossibleParameterError as error:
        faults.append(_path(where, str(error)))
    except ValueError as error:
        faults.append(f"{where}: {error}" if where else str(error))
    return None


def _path(where: str, rest: str) -> str:
    return f"{where}.{rest}" if where else rest


def sentences(
    error: ValidationError, where: str, known: Iterable[str], kind: type[Any] | None = None
) -> list[str]:
    """Every fault that pydantic found: thing, value, and what is allowed.

    Args:
        error: of one table.
        where: what the table is called; empty for the file itself.
        known: the keys that the table may have.
        kind: the parameters it was read for, whose ranges are told.
    """
    told: list[str] = []
    for fault in error.errors():
        path = _path(where, ".".join(str(step) for step in fault["loc"])) or "the file"
        inner = fault.get("ctx", {}).get("error")
        if isinstance(inner, _InnerFaultsError):
            told.extend(_path(path, sentence) for sentence in inner.faults)
        else:
            told.append(path + _words(fault, known, kind))
    return told


def _words(fault: Any, known: Iterable[str], kind: type[Any] | None) -> str:
    if fault["type"] == "missing":
        return " is missing"
    if fault["type"] == "extra_forbidden":
        # What an inner table may have stands in the file that holds it.
        listed = f"; there are {', '.join(known)}" if len(fault["loc"]) == 1 else ""
        return f" is not known here{listed}"
    words = fault["msg"].removeprefix("Value error, ")
    span = span_of(kind, str(fault["loc"][0])) if kind is not None and fault["loc"] else None
    allowed = "" if span is None else f"; allowed is {span}"
    value = fault["input"]
    told = "" if isinstance(value, dict) else f" is {shown(value)}"
    return f"{told}: {words[:1].lower()}{words[1:]}{allowed}"
