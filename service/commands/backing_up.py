"""``clutchweather backup`` and ``restore``: what a new memory card needs, there and back."""

from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path

from service.backup.making import BackupMade, make_backup
from service.backup.restoring import Restored, restore

Say = Callable[[str], None]

_TOLD = {
    "readings": "readings",
    "checks": "nest checks",
    "clutches": "clutches",
    "birds": "birds",
    "alarms": "alarms",
    "people": "people",
    "wall_tokens": "wall tablets",
}


def run_backup(
    data: Path, dest: Path | None, config: Path | None, now: datetime, say: Say
) -> BackupMade:
    """Make a backup and tell what is in it.

    Raises:
        InputError, NoRoomError, BackupNotMadeError: none was made, or it was not whole.
    """
    made = make_backup(data, dest, now=now, config=config)
    say(f"{made.shed_name}: {_counted(made.counts)}{_newest(made.newest_reading_at)}.")
    say(f"Kept since {made.at:%Y-%m-%d %H:%M} UTC: {made.file} ({made.size_bytes / 1e6:.1f} MB).")
    say("It was unpacked again, every file compared, both databases looked through and counted.")
    say("It holds passwords and keys; only its owner may read it. Treat it like a door key.")
    for sentence in (*made.left_out, *made.warnings):
        say(f"Look at this: {sentence}.".replace("..", "."))
    if made.same_disk:
        say(
            "It lies on the same disk as the data. When that card dies both are gone: copy it to "
            "another machine or a stick, or name a folder there (clutchweather backup FOLDER)."
        )
    return made


def run_restore(source: Path, data: Path, now: datetime, say: Say) -> Restored:
    """Put a backup in place and tell what there is now.

    Raises:
        InputError, AlreadyRunningError, NoRoomError: nothing was changed.
        RestoreUnfinishedError: cut short; the next start finishes it.
    """
    done = restore(source, data, now=now)
    if done.finished_first:
        say("An earlier restore had been cut short; it was finished first.")
    say(f"{done.shed_name}, as it was on {done.made_at:%Y-%m-%d at %H:%M} UTC, is in {data}.")
    say(f"There are now {_counted(done.counts)}{_newest(done.newest_reading_at)}.")
    if done.aside is not None:
        say(f"What was there before is kept in {done.aside}; remove it when you are sure.")
    for file, lay_at in done.from_elsewhere:
        say(f"Look at this: {lay_at} lay outside the data folder. Put it back from {file}.")
    say(
        "People, wall tablets and the broker's passwords are as they were then: whoever was taken "
        "out since is in again, so look at /people. Everyone has to log in anew."
    )
    say("A broker that runs reads its passwords at its next start.")
    return done


def _counted(counts: Mapping[str, int]) -> str:
    told = [f"{counts[table]} {words}" for table, words in _TOLD.items() if table in counts]
    return ", ".join(told) or "no readings and no records yet, only settings"


def _newest(at: datetime | None) -> str:
    return "" if at is None else f"; the newest reading came {at:%Y-%m-%d %H:%M} UTC"
