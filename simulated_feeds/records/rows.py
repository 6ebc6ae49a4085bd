"""Lists of one JSON object, written as they grow: a season of rows needs no memory."""

import json
from collections.abc import Mapping
from contextlib import ExitStack
from pathlib import Path
from tempfile import TemporaryFile
from typing import IO, Any


class Rows:
    """Rows of one list, kept in a file without a name until the object is written."""

    def __init__(self, folder: Path, open_files: ExitStack) -> None:
        self._file: IO[str] = open_files.enter_context(
            TemporaryFile("w+", encoding="utf-8", dir=folder)  # noqa: SIM115 - closed by the stack
        )
        self._empty = True

    def add(self, row: Mapping[str, Any]) -> None:
        """One more row."""
        self._file.write("\n  " if self._empty else ",\n  ")
        self._file.write(json.dumps(row, ensure_ascii=False))
        self._empty = False

    def pour(self, out: IO[str]) -> None:
        """Write the list."""
        out.write("[")
        self._file.seek(0)
        while text := self._file.read(1 << 20):
            out.write(text)
        out.write("]" if self._empty else "\n ]")


def write_object(path: Path, head: Mapping[str, Any], lists: Mapping[str, Rows]) -> None:
    """A JSON object in a file: first the keys of ``head``, then the lists."""
    with path.open("w", encoding="utf-8") as out:
        out.write("{")
        for place, (key, value) in enumerate(head.items()):
            out.write(f'{"," if place else ""}\n "{key}": {json.dumps(value, ensure_ascii=False)}')
        for key, rows in lists.items():
            out.write(f',\n "{key}": ')
            rows.pour(out)
        out.write("\n}\n")
