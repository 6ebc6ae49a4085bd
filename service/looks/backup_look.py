"""How old the last backup is, and whether it would survive the card."""

from datetime import datetime, timedelta
from pathlib import Path

from service.backup.last_backup import LastBackup, last_backup
from service.looks.surroundings import Surroundings
from service.machine.finding import Finding, look, well

OLD_AFTER = timedelta(hours=48)
ELSEWHERE_OLD_AFTER = timedelta(days=31)
_WHAT = "backup"


def look_at_backup(around: Surroundings) -> Finding:
    """Whether there is a fresh one, and a not too old one on another disk."""
    last = last_backup(around.data)
    if last is None:
        return look(_WHAT, "No backup was ever made here.", "clutchweather backup FOLDER")
    age = around.now - last.at
    if age > OLD_AFTER:
        return look(
            _WHAT,
            f"The last backup is {_days(age)} old: what came since is nowhere else.",
            "clutchweather backup; install-units makes one every night",
        )
    if age < -timedelta(minutes=5):
        return look(
            _WHAT,
            f"The last backup is of {last.at:%Y-%m-%d %H:%M} UTC, which is still to come: the "
            "clock is wrong now, or was then.",
            "Set the clock right and make a new one: clutchweather backup",
        )
    return _where(last, around.data, around.now) or well(
        _WHAT, f"The last backup is {_days(age)} old, and one is on another disk."
    )


def _where(last: LastBackup, data: Path, now: datetime) -> Finding | None:
    """None where a backup on another disk is fresh enough."""
    copy = "Copy one to another machine or a stick: clutchweather backup /media/STICK"
    if not last.file.exists() and last.file.is_relative_to(data.resolve()):
        return look(_WHAT, f"{last.file} is there no more.", "clutchweather backup")
    if last.elsewhere_at is None:
        return look(
            _WHAT, "All backups lie on the same disk as the data; its end takes both.", copy
        )
    age = now - last.elsewhere_at
    if age > ELSEWHERE_OLD_AFTER:
        return look(
            _WHAT,
            f"The last backup on another disk is {_days(age)} old; newer ones lie beside the data.",
            copy,
        )
    return None


def _days(age: timedelta) -> str:
    hours = max(0.0, age.total_seconds()) / 3600
    return f"{hours:.0f} h" if hours < 72 else f"{hours / 24:.0f} days"
