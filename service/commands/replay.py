"""``clutchweather replay``: a progress bar, and the counts."""

import json
from dataclasses import asdict
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

from service.commands.replaying import Counts, replay_files
from service.errors import InputError
from service.settings.load import read_file


def run_replay(files: list[Path], data: Path, config: Path | None, *, as_json: bool) -> None:
    """Replay, then print what came of it.

    Raises:
        ConfigurationError, InputError, AlreadyRunningError: nothing more was done.
    """
    stated = read_file(config, data)
    for file in files:
        if not file.is_file():
            raise InputError(f"{file}: there is no such file")
    columns = (TextColumn("{task.description}"), BarColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("replaying", total=None)
        counts = replay_files(files, stated, data, lambda done: bar.advance(task, done))
    if counts.older_than_stored:
        Console(stderr=True, soft_wrap=True).print(
            "The folder held later readings already: what is older than those was stored as "
            "history and raised no alarm. To assess it, replay in order into a new folder."
        )
    told = _told(counts)
    if as_json:
        print(json.dumps(told))  # noqa: T201 - this is what was asked for
        return
    for name, value in told.items():
        print(f"{name:14} {value}")  # noqa: T201 - as above


def _told(counts: Counts) -> dict[str, object]:
    told = asdict(counts)
    for name in ("since", "until"):
        told[name] = told[name] and told[name].isoformat().replace("+00:00", "Z")
    return told
