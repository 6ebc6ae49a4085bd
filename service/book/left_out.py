"""Rows that are in the files and can't be taken."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """``numbers`` are those of the rows, by table, None among them where a row's number could not
    be read; of the tables in ``unread`` nothing is known.

    ``told`` says that each of them has its fault already, so that nothing needs to be said of
    the rows that rest on it.
    """

    numbers: Mapping[str, frozenset[object]] = field(default_factory=dict)
    unread: frozenset[str] = frozenset()
    told: bool = False

    def holds(self, table: str, number: object) -> bool:
        """Whether that row is, or may be, among them."""
        numbers = self.numbers.get(table, frozenset())
        return table in self.unread or number in numbers or (self.told and None in numbers)

    def any_of(self, table: str) -> bool:
        """Whether a row of that table is, or may be, among them."""
        return table in self.unread or bool(self.numbers.get(table))
