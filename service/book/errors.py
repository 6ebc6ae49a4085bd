"""What can go wrong when a book is carried in or out.

BookFaultsError   (InputError) rows of the files can't be taken; every fault is told
OtherBookError    (InputError) the records hold another book, or more than the files do
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from service.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """``line`` is that on which the row begins, None for the file as a whole. ``column`` is
    empty for the row as a whole. ``words`` say what is wrong and what is allowed.
    """

    file: str
    line: int | None = None
    column: str = ""
    words: str

    def __str__(self) -> str:
        line = "" if self.line is None else f", line {self.line}"
        column = f", {self.column}" if self.column else ""
        return f"{self.file}{line}{column}: {self.words}"


def in_order(faults: Iterable[Fault]) -> list[Fault]:
    """By file, line and column, each once."""
    return sorted(set(faults), key=lambda one: (one.file, one.line or 0, one.column, one.words))


class BookFaultsError(InputError):
    """Nothing was taken in; ``faults`` are in the order of files and lines."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        number = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
        told = "\n".join(str(fault) for fault in faults)
        super().__init__(f"Nothing was imported: {number}.\n{told}")
        self.faults = tuple(faults)


class OtherBookError(InputError):
    """Nothing was taken in; the book that stands is not the one in the files."""
