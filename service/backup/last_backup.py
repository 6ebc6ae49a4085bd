"""When the last good backup was made, and the last one on another disk: a small file."""

import json
import os
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from service.backup.contents import LAST_BACKUP


@dataclass(frozen=True, slots=True, kw_only=True)
class LastBackup:
    """``elsewhere_at`` is when the newest on another disk than the data's was made; None where
    none ever was.
    """

    at: datetime
    file: Path
    elsewhere_at: datetime | None


def note_backup(data: Path, *, at: datetime, file: Path) -> None:
    """Remember that ``file`` was made and verified.

    Raises:
        OSError: it can't be written.
    """
    before = last_backup(data)
    elsewhere_at = None if before is None else before.elsewhere_at
    if file.stat().st_dev != data.stat().st_dev:
        elsewhere_at = at
    told = {
        "at": at.isoformat(),
        "file": str(file),
        "elsewhere_at": elsewhere_at and elsewhere_at.isoformat(),
    }
    marker = data / LAST_BACKUP
    new = marker.with_suffix(f".{os.getpid()}.new")
    new.write_text(json.dumps(told) + "\n")
    if os.geteuid() == 0:
        os.chown(new, data.stat().st_uid, data.stat().st_gid)
    new.replace(marker)


def last_backup(data: Path) -> LastBackup | None:
    """The last good one; None where none was made, or that can't be told."""
    try:
        told = json.loads((data / LAST_BACKUP).read_text())
        elsewhere_at = told.get("elsewhere_at")
        return LastBackup(
            at=datetime.fromisoformat(told["at"]).astimezone(UTC),
            file=Path(told["file"]),
            elsewhere_at=elsewhere_at and datetime.fromisoformat(elsewhere_at).astimezone(UTC),
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
