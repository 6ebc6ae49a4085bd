"""Recorded messages through the whole walk, by event time, at full speed, without a broker."""

import logging
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from devices.message import Message
from service.commands.replayed_until import note_replayed_until
from service.intake.data_lock import DataLock
from service.reading_path import ReadingPath
from service.recordings import open_recording, recorded_messages
from service.settings.settings import Settings
from service.settings.stated import Stated
from service.tonight.catching_up import catch_up
from service.wiring import Stores, open_shed, reading_path

log = logging.getLogger(__name__)

BATCH = 500


@dataclass(slots=True)
class Counts:
    """What a replay came to. Times are those of the messages.

    ``messages`` and ``readings`` (new ones) are of this replay; dead letters, strangers and
    alarms are what the folder holds after it. ``older_than_stored``: the folder held later
    readings before, so that what lies before them is history and raises no alarm.
    """

    messages: int = 0
    readings: int = 0
    dead_letters: int = 0
    strangers: int = 0
    alarms: int = 0
    older_than_stored: bool = False
    since: datetime | None = None
    until: datetime | None = None


def replay_files(
    files: Sequence[Path],
    stated: Stated,
    data: Path,
    progress: Callable[[int], None] = lambda _bytes: None,
) -> Counts:
    """Walk recordings one after the other, by what the file states and pages have set.

    ``progress`` is told how many bytes were read.

    Raises:
        InputError: a file can't be read; what came before the fault is stored.
        AlreadyRunningError: a watch holds the data folder.
    """
    with DataLock(data):
        settings, stores = open_shed(stated, data, writer=True)
        for fault in settings.faults:
            log.error("configuration: %s", fault)
        try:
            return _replay(_messages(files, progress), settings, data, stores)
        finally:
            stores.close()


def _messages(files: Sequence[Path], progress: Callable[[int], None]) -> Iterable[Message]:
    """All messages, the recording that begins first first, in whatever order they are named."""
    for file in sorted(files, key=_begins_at):
        with open_recording(file) as lines:
            told = 0
            for number, message in enumerate(recorded_messages(file, lines)):
                yield message
                if number % BATCH == 0:
                    progress(lines.tell() - told)
                    told = lines.tell()


def _begins_at(file: Path) -> datetime:
    with open_recording(file) as lines:
        first = next(iter(recorded_messages(file, lines)), None)
    return datetime.max.replace(tzinfo=UTC) if first is None else first.received_at


def replay_messages(
    messages: Iterable[Message], settings: Settings, data: Path, stores: Stores
) -> Counts:
    """The same for messages that come from elsewhere; the caller holds the lock."""
    return _replay(messages, settings, data, stores)


def _replay(messages: Iterable[Message], settings: Settings, data: Path, stores: Stores) -> Counts:
    counts = Counts()
    path = reading_path(settings, stores)
    batch: list[Message] = []
    try:
        for message in messages:
            if counts.since is None:
                counts.since = message.received_at
                counts.older_than_stored = _start(stores, counts.since) > counts.since
                path.restore(_start(stores, message.received_at), forgiving=False)
            batch.append(message)
            if len(batch) >= BATCH:
                _walk(path, batch, counts)
    finally:
        _walk(path, batch, counts)
        if counts.until is not None:
            path.tick(counts.until)
            path.save_alarms()
            note_replayed_until(data, counts.until)
            catch_up(stores.readings, stores.records.outlook, settings, counts.until)
    counts.dead_letters = sum(letter.count for letter in stores.readings.dead_letters())
    counts.strangers = len(stores.readings.strangers())
    counts.alarms = len(stores.records.alarms.alarms(None, None))
    return counts


def _start(stores: Stores, first: datetime) -> datetime:
    """Where the rules take up: what was followed before is history and raises nothing again."""
    return max([first, *(one.received_at for one in stores.readings.latest())])


def _walk(path: ReadingPath, batch: list[Message], counts: Counts) -> None:
    if not batch:
        return
    counts.readings += path.walk(batch, stored=lambda: None, recorded=True)
    path.save_alarms()
    counts.messages += len(batch)
    counts.until = max(counts.until or batch[-1].received_at, batch[-1].received_at)
    batch.clear()
