"""What the configuration file states, read once and found sound."""

from dataclasses import dataclass, field
from pathlib import Path

from service.store.kept_settings import Document


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """``document`` is empty without a file. ``faults`` tells why another than the file on disk
    is in force: the last good copy of it, or what is built in.
    """

    document: Document = field(default_factory=dict)
    file: Path | None = None
    faults: tuple[str, ...] = ()
