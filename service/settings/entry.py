"""One table of the file as it was written, without the keys that are already faulty.

The questions that two keys ask each other must be put even when a third is wrong, so that
all faults are told at once: they are put to entries, which answer None for a key that is
absent, faulty or of another type.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from service.settings.faults import MISSING, Fault, KeyPath
from service.settings.written import duration, local_date


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """``told`` is the table; ``faulty`` holds the paths of all faulty keys of the file."""

    path: KeyPath
    told: Mapping[str, object]
    faulty: frozenset[KeyPath] = frozenset()

    def has(self, key: str) -> bool:
        """Whether the key is written, sound or not."""
        return key in self.told

    def text(self, key: str) -> str | None:
        """The sound text under ``key``."""
        value = self._sound(key)
        return value if isinstance(value, str) else None

    def number(self, key: str) -> float | None:
        """The sound number under ``key``."""
        value = self._sound(key)
        numeric = isinstance(value, int | float) and not isinstance(value, bool)
        return float(value) if numeric else None  # type: ignore[arg-type]

    def duration(self, key: str) -> timedelta | None:
        """The sound duration under ``key``."""
        text = self.text(key)
        return None if text is None else duration(text)

    def day(self, key: str) -> date | None:
        """The sound date under ``key``."""
        value = self._sound(key)
        return None if value is None else local_date(value)

    def table(self, key: str) -> "Entry | None":
        """The table under ``key``; its own keys may be faulty."""
        value = self.told.get(key)
        if not isinstance(value, dict):
            return None
        return Entry(path=(*self.path, key), told=value, faulty=self.faulty)

    def tables(self, key: str) -> list["Entry"]:
        """The tables under ``key``, each with its own faults."""
        values = self.told.get(key)
        return [
            Entry(path=(*self.path, key, at), told=value, faulty=self.faulty)
            for at, value in enumerate(values if isinstance(values, list) else [])
            if isinstance(value, dict)
        ]

    def fault(self, key: str, allowed: str, problem: str = "is not allowed") -> Fault:
        """A fault of the value under ``key``."""
        value = self.told.get(key, MISSING)
        return Fault(path=(*self.path, key), value=value, allowed=allowed, problem=problem)

    def missing(self, key: str, allowed: str) -> Fault:
        """A fault of a key that has to be there."""
        return self.fault(key, allowed, "is missing")

    def _sound(self, key: str) -> object:
        path = (*self.path, key)
        unsound = any(one[: len(path)] == path for one in self.faulty)
        return None if unsound else self.told.get(key)


def whole_file(document: Mapping[str, object], faults: Iterable[Fault]) -> Entry:
    """The file as the outermost entry."""
    return Entry(path=(), told=document, faulty=frozenset(fault.path for fault in faults))
