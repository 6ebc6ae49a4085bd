"""What may be asked of the settings that are made on pages.

They are kept as one document in the shape of the configuration file (tables and lists of
tables; durations, times and topics as the text that would stand in the file), so that one set
of rules validates both.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from service.errors import StoreUnavailableError

Document = Mapping[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """The document and its revision: 0 and empty before anything was set on a page."""

    document: Document
    revision: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One line of the record of changes: a sentence, what stood before, what stands now."""

    at: datetime
    by: str | None
    what: str
    before: str | None = None
    after: str | None = None


class UnreadableSettingsError(StoreUnavailableError):
    """What is kept is no document: the file, or what is built in, holds until it is mended."""

    def __init__(self, revision: int, reason: str) -> None:
        super().__init__(
            f"the settings made on pages can't be read ({reason}); the backup of an earlier "
            "day has them"
        )
        self.revision = revision


class KeptSettings(Protocol):
    """The settings made on pages. Pages and commands write, everyone reads."""

    def read(self) -> Kept:
        """The newest document.

        Raises:
            UnreadableSettingsError: what is kept is damaged.
        """
        ...

    def revision(self) -> int:
        """The newest revision alone: cheap, asked every second."""
        ...

    def put(self, document: Document, *, based_on: int, change: Change) -> int:
        """Replace the document and note the change, in one transaction; the new revision.

        Raises:
            ChangedMeanwhileError: somebody else has put one since ``based_on`` was read.
            StoreUnavailableError: nothing was changed.
        """
        ...


class ChangeRecord(Protocol):
    """Who changed what: settings, people, tokens, calibrations. Nothing is ever removed."""

    def note(self, change: Change) -> None:
        """Add a line."""
        ...

    def changes(self, limit: int = 200) -> Sequence[Change]:
        """The newest lines first."""
        ...
