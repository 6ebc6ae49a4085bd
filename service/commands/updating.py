"""``clutchweather update`` and ``go-back``: another version, and the way back.

Before a version is used for the first time a backup is made. One that does not come up is
taken out of use by itself: the birds can't wait for somebody to look.
"""

import shutil
import sqlite3
import time
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from devices.errors import ClutchweatherError
from service.backup.making import make_backup
from service.backup.restoring import restore
from service.commands.install_units import Place, Say, refuse_who_may_not
from service.errors import InputError, StoreUnavailableError
from service.machine.sqlite_layouts import layouts_of
from service.machine.versions import Version, refuse_what_is_no_version

UNITS = ("clutchweather-watch.service", "clutchweather-pages.service")
BEFORE_UPDATES = "before-updates"
COMES_UP_WITHIN_S = 60.0
_LOOK_EVERY_S = 1.0


class DidNotComeUpError(ClutchweatherError):
    """A version was put in use and did not run."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """Where, when, and how long a version may take to come up [s]."""

    place: Place
    now: datetime
    say: Say
    patience_s: float = COMES_UP_WITHIN_S


def run_update(source: Path, change: Change) -> None:
    """Put another version in use; the one before is kept.

    Raises:
        InputError: not root, or ``source`` is no version, or nothing is installed yet.
        BackupNotMadeError, NoRoomError, VenvNotMadeError: nothing was changed.
        DidNotComeUpError: the new one did not run, and the one before runs again.
    """
    place = change.place
    refuse_who_may_not(place, "update FOLDER")
    refuse_what_is_no_version(source)
    if place.versions.current() is None:
        raise InputError(
            f"{place.versions.folder}: no version is installed there; install-units comes first"
        )
    change.say("Copying the new version and making it ready; the old one goes on watching ...")
    new = place.versions.put(source, change.now, place.make_venv)
    try:
        noted = _with_a_backup(new, change)
    except BaseException:
        place.versions.remove(new)
        raise
    place.versions.use(noted)
    if not _comes_up(change):
        _take_back(noted, change)
    place.versions.keep_two()
    _keep_only(place.data / BEFORE_UPDATES, noted)
    change.say(f"Version {noted.stamp} runs. The one before is kept: clutchweather go-back.")


def run_go_back(change: Change) -> None:
    """Put the version before in use again, with the backup where it could not read the records.

    Raises:
        InputError: not root, or there is no version before.
        DidNotComeUpError: it does not run.
    """
    place = change.place
    refuse_who_may_not(place, "go-back")
    now, before = place.versions.current(), place.versions.previous()
    if now is None or before is None:
        raise InputError(
            f"{place.versions.folder}: no version from before is kept, so there is no way back"
        )
    _stop(place)
    try:
        _go_back(now, change)
    except ClutchweatherError:
        _starts(change)  # the birds need a watch, whichever version it is
        raise
    if not _starts(change):
        raise DidNotComeUpError(
            f"version {before.stamp} is in use again and does not run; nobody watches the birds. "
            "See why: journalctl -u clutchweather-watch -n 30"
        )
    change.say(f"Version {before.stamp} is in use again.")


def _with_a_backup(new: Version, change: Change) -> Version:
    data = change.place.data
    folder = data / BEFORE_UPDATES
    folder.mkdir(parents=True, exist_ok=True)
    folder.chmod(0o700)
    made = make_backup(data, folder, now=change.now)
    _give_back_to_owner(change.place)
    change.say(f"A backup was made: {made.file}")
    return replace(new, backup=str(made.file), layouts=_layouts(data))


def _layouts(data: Path) -> str:
    try:
        return layouts_of(data)
    except sqlite3.Error as error:
        raise StoreUnavailableError(f"{data}: a database can't be read: {error}") from error


def _take_back(failed: Version, change: Change) -> None:
    """The one before, with its records, runs again; and that is told as a failure."""
    change.say("The new version does not come up; going back to the one before ...")
    _stop(change.place)
    _go_back(failed, change)
    runs = _starts(change)
    change.place.versions.remove(failed)
    told = "the one before runs again" if runs else "the one before does NOT run either"
    raise DidNotComeUpError(
        f"the new version did not come up within {change.patience_s:.0f} s; {told}. "
        "What it said: journalctl -u clutchweather-watch -u clutchweather-pages -n 60"
    )


def _go_back(from_version: Version, change: Change) -> None:
    """With the records as they are, unless a newer layout made them unreadable for it."""
    data = change.place.data
    if from_version.layouts is None or _layouts(data) == from_version.layouts:
        change.place.versions.go_back()
        change.say("Nothing was lost: both versions read the same records.")
        return
    if from_version.backup is None:
        raise InputError(f"{data}: the records are newer, and no backup was made before the update")
    restored = restore(Path(from_version.backup), data, now=change.now)
    _give_back_to_owner(change.place)
    change.place.versions.go_back()
    change.say(
        f"The records are as they were on {restored.made_at:%Y-%m-%d at %H:%M} UTC, before the "
        "update: the version before can't read what the newer one wrote. What came in since, "
        f"readings, nest checks and settings, is not in force; it is kept in {restored.aside}."
    )


def _comes_up(change: Change) -> bool:
    _stop(change.place)
    return _starts(change)


def _stop(place: Place) -> None:
    if place.orders:
        place.systemd.control("stop", *UNITS)


def _starts(change: Change) -> bool:
    """Active means more than started: watch had its first turn, and the pages answered."""
    place = change.place
    if not place.orders:
        return True
    place.systemd.control("start", "--no-block", *UNITS)
    until = time.monotonic() + change.patience_s
    while not place.systemd.is_active(UNITS):
        if time.monotonic() >= until:
            return False
        time.sleep(min(_LOOK_EVERY_S, change.patience_s))
    return True


def _give_back_to_owner(place: Place) -> None:
    """What root made in the data folder must be the service's own."""
    if place.orders:
        place.systemd.run("chown", "-R", str(place.data.stat().st_uid), str(place.data))


def _keep_only(folder: Path, newest: Version) -> None:
    """The backup of this update; those of earlier ones have had their time."""
    for file in folder.iterdir():
        if str(file) != newest.backup:
            shutil.rmtree(file) if file.is_dir() else file.unlink()
