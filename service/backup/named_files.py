"""Which files a shed's configuration names, and what the shed is called.

Asked of every document there is (the file, its last good copy, what was set on pages), so
that a fault in one of them does not keep a password file out of the backup.
"""

import json
import sqlite3
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path

_SECRET = (("notices", "urls_file"), ("broker", "password_file"), ("pages", "key"))
_PUBLIC = (("broker", "ca_file"), ("pages", "certificate"))


def toml_document(file: Path) -> Mapping[str, object]:
    """What stands in a configuration file; nothing where it can't be understood."""
    try:
        return tomllib.loads(file.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError, RecursionError):
        return {}


def kept_document(records: Path) -> Mapping[str, object]:
    """What was set on pages, from a copy of the records; nothing where there is none."""
    try:
        db = sqlite3.connect(f"{records.absolute().as_uri()}?mode=ro&immutable=1", uri=True)
    except sqlite3.Error:
        return {}
    try:
        row = db.execute("SELECT document FROM kept_settings WHERE id = 1").fetchone()
        told = json.loads(row[0]) if row else {}
    except (sqlite3.Error, ValueError):
        return {}
    finally:
        db.close()
    return told if isinstance(told, dict) else {}


def named_files(documents: Sequence[Mapping[str, object]], data: Path) -> list[Path]:
    """Every file that a document names, each once; relative names are in the data folder."""
    return _named(documents, data, (*_SECRET, *_PUBLIC))


def secret_files(documents: Sequence[Mapping[str, object]], data: Path) -> list[Path]:
    """Those of them that hold a password, a key, or an address with one in it."""
    return _named(documents, data, _SECRET)


def _named(
    documents: Sequence[Mapping[str, object]], data: Path, keys: Sequence[tuple[str, str]]
) -> list[Path]:
    found = [
        data / name
        for document in documents
        for table, key in keys
        if (name := _text(document, table, key)) is not None
    ]
    return list(dict.fromkeys(found))


def shed_name(documents: Sequence[Mapping[str, object]]) -> str | None:
    """The name of the shed in the first document that tells one."""
    return next((name for one in documents if (name := _text(one, "shed", "name"))), None)


def _text(document: Mapping[str, object], table: str, key: str) -> str | None:
    found = document.get(table)
    text = found.get(key) if isinstance(found, dict) else None
    return text if isinstance(text, str) and "\0" not in text else None
