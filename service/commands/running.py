"""The whole service under one parent."""

from collections.abc import Callable, Sequence
from pathlib import Path

from service.commands.keeping_alive import Child, keep_alive, stop_on_signals
from service.intake.data_lock import DataLock


def run_up(arguments: Sequence[str], data: Path, say: Callable[[str], None]) -> None:
    """Run watch and pages, and start again what dies, until asked to stop.

    Raises:
        AlreadyRunningError: another copy is at work in the data folder.
    """
    DataLock(data).release()
    children = [Child("watch", ["watch", *arguments]), Child("pages", ["pages", *arguments])]
    keep_alive(children, stop_on_signals(), say)
