"""What the looks are given: the shed, the machine and the time."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from service.machine.machine import Machine
from service.settings.settings import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """``faults`` are those of the configuration, also where it could not be loaded at all.

    ``now`` is the machine's time. ``deep`` asks for looks that take minutes.
    """

    data: Path
    settings: Settings
    faults: tuple[str, ...]
    machine: Machine
    now: datetime
    deep: bool = False

    @property
    def records_file(self) -> Path:
        """Where the records lie."""
        return Path(self.settings.records_url.removeprefix("sqlite:///"))

    @property
    def databases(self) -> list[Path]:
        """Both, as far as they are there."""
        both = (self.settings.readings_file, self.records_file)
        return [file for file in both if file.is_file()]
