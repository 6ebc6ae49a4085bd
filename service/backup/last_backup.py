"""When the last good backup was made: a small file in the data folder."""

import json
import os
from datetime import UTC, datetime
from pathlib import Path

from service.backup.contents import LAST_BACKUP


def note_backup(data: Path, *, at: datetime, file: Path) -> None:
    """Remember that ``file`` was made and verified.

    Raises:
        OSError: it can't be written.
    """
    marker = data / LAST_BACKUP
    new = marker.with_suffix(f".{os.getpid()}.new")
    new.write_text(json.dumps({"at": at.isoformat(), "file": str(file)}) + "\n")
    if os.geteuid() == 0:
        os.chown(new, data.stat().st_uid, data.stat().st_gid)
    new.replace(marker)


def last_backup(data: Path) -> tuple[datetime, Path] | None:
    """When the last good one was made and where it was put; None when that is not known."""
    try:
        told = json.loads((data / LAST_BACKUP).read_text())
        return datetime.fromisoformat(told["at"]).astimezone(UTC), Path(told["file"])
    except (OSError, ValueError, KeyError, TypeError):
        return None
