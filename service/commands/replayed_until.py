"""Until when the data folder was filled by a replay: from then its ages are counted.

Apart from the replay, as every command asks for it and few of them replay.
"""

from datetime import UTC, datetime
from pathlib import Path

FILE = "replayed-until"
"""File in the data folder: the time of the last message, from which ages are counted."""


def note_replayed_until(data: Path, until: datetime) -> None:
    """A replay came to ``until``; one that came further before still counts."""
    before = read_replayed_until(data)
    (data / FILE).write_text(max(until, before or until).isoformat() + "\n")


def read_replayed_until(data: Path) -> datetime | None:
    """When the replay that made this data folder ended; None where a watch has been at work."""
    try:
        text = (data / FILE).read_text()
    except FileNotFoundError:
        return None
    return datetime.fromisoformat(text.strip()).astimezone(UTC)


def forget_replay(data: Path) -> None:
    """From now on the present is the clock's: a watch begins in this folder."""
    (data / FILE).unlink(missing_ok=True)
