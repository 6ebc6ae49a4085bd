"""One fault of a configuration, told so that the keeper can mend it.

A line names the file, the key, the value and what is allowed. Tables that come several
times are counted from 1 (``limit[2].low`` is in the second ``[[limit]]``).
"""

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from typing import Final

KeyPath = tuple[str | int, ...]

MISSING: Final = object()
LONGEST_VALUE = 80

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_PASSWORD_IN_URL = re.compile(r"(://[^/@:\s]*):[^@\s]*@")
_NAMING_KEYS = ("id", "device", "topic", "from")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """``path`` counts list items from 0, as Python does; the line counts them from 1."""

    path: KeyPath
    allowed: str
    value: object = MISSING
    problem: str = "is not allowed"


def fault_line(fault: Fault, file_name: str, document: Mapping[str, object]) -> str:
    """The fault as one line; ``document`` is what it was found in, to name the table."""
    told = "" if fault.value is MISSING else f" = {in_toml(fault.value)}"
    where = _table_name(fault.path, document)
    key = f"{key_text(fault.path)}{told}{where}"
    return f"{file_name}: {key} {fault.problem}; allowed: {fault.allowed}"


def key_text(path: KeyPath) -> str:
    """``limit[2].low`` for ("limit", 1, "low")."""
    text = ""
    for step in path:
        if isinstance(step, int):
            text += f"[{step + 1}]"
        else:
            bare = step if _BARE_KEY.fullmatch(step) else json.dumps(step, ensure_ascii=False)
            text += f".{bare}" if text else bare
    return text


def in_toml(value: object) -> str:
    """The value as one line of TOML, cut when long, without a password."""
    text = _PASSWORD_IN_URL.sub(r"\1:…@", _toml(value))
    return text if len(text) <= LONGEST_VALUE else text[: LONGEST_VALUE - 1] + "…"


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, Mapping):
        pairs = ", ".join(f"{key_text((key,))} = {_toml(item)}" for key, item in value.items())
        return f"{{ {pairs} }}" if pairs else "{}"
    if isinstance(value, Sequence):
        return f"[{', '.join(_toml(item) for item in value)}]"
    return str(value)


def _table_name(path: KeyPath, document: Mapping[str, object]) -> str:
    """`` (of "cold-night")`` for a key of a table that comes several times and has a name."""
    if len(path) < 3 or not isinstance(path[1], int):
        return ""
    tables = document.get(str(path[0]))
    table = tables[path[1]] if isinstance(tables, list) else None
    if not isinstance(table, dict):
        return ""
    keys = ("kind",) if path[0] == "rule" else _NAMING_KEYS
    names = (table.get(key) for key in keys if path[2] != key)
    name = next((name for name in names if isinstance(name, str | date)), None)
    return "" if name is None else f" (of {in_toml(name)})"
