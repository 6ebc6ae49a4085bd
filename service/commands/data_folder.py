"""Where a shed's data lies, and what time it is there."""

import os
from datetime import timedelta
from pathlib import Path

from service.answers.health import pulse
from service.backup.errors import RestoreUnfinishedError
from service.backup.restore_journal import is_cut_short
from service.clock import Clock, FixedClock, SystemClock
from service.commands.replayed_until import read_replayed_until
from service.errors import InputError
from service.heartbeat import heartbeat_file, read_heartbeat

NAME = "clutchweather"


def default_data_folder() -> Path:
    """``$XDG_DATA_HOME/clutchweather``; ``/var/lib/clutchweather`` under systemd."""
    if state := os.environ.get("STATE_DIRECTORY"):
        return Path(state.split(":")[0])
    home = os.environ.get("XDG_DATA_HOME")
    return (Path(home) if home else Path.home() / ".local" / "share") / NAME


def existing(data: Path) -> Path:
    """The folder, if it is one and holds a whole shed.

    Raises:
        InputError: there is no such folder.
        RestoreUnfinishedError: it is between two sheds.
    """
    if not data.is_dir():
        raise InputError(f"{data}: there is no such data folder")
    if is_cut_short(data):
        raise RestoreUnfinishedError(
            f"{data}: a restore was cut short here. Start the service, or run the restore again: "
            "either finishes it."
        )
    return data


def clock_of(data: Path) -> Clock:
    """The time in this data folder: its watch's, else the end of its replay, else ours."""
    heartbeat = read_heartbeat(heartbeat_file(data))
    if heartbeat is not None and pulse(heartbeat).lives:
        return FixedClock(heartbeat.at + timedelta(seconds=heartbeat.age_s()))
    until = read_replayed_until(data)
    return SystemClock() if until is None else FixedClock(until)
