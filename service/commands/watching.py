"""The watch as a process of its own: no web framework, no plotting."""

import logging
import threading
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from service.clock import Clock
from service.commands.keeping_alive import stop_on_signals
from service.commands.replayed_until import forget_replay
from service.errors import StoreUnavailableError
from service.intake.data_lock import DataLock
from service.overdue_path import deadlines_after_a_change
from service.settings.in_force import settings_of
from service.settings.load import read_file_or_last_good
from service.settings.settings import Settings
from service.settings.stated import Stated
from service.store.reading_store import Batch, Gap
from service.store.sqlite_salvage import is_damage, put_aside
from service.watch import Watch
from service.wiring import build_watch, open_shed, put_places, revisions, settings_now

log = logging.getLogger(__name__)

ASK_EVERY_S = 0.5
TRY_AGAIN_AFTER_S = 1.0


def run_watch(data: Path, config: Path | None, clock: Clock) -> None:
    """Listen, store and watch, until asked to stop.

    What is changed on a page is in force within two seconds: the watch is then built anew in
    this process, and takes up where it was.

    Raises:
        AlreadyRunningError: another copy is at work in the data folder.
    """
    stop = stop_on_signals()
    with DataLock(data):
        forget_replay(data)
        stated = read_file_or_last_good(config, data)
        watching = _open(stated, data, clock)
        _log_faults(watching.settings)
        try:
            watching.run(stop)
        finally:
            watching.stores.close()


class Newer:
    """Whether something was changed since; asked at every step, so it looks now and then.

    The settings are taken up as far as they can be before the watch ends for them: one that
    runs is worth more than new ones which can't be read, or records that can't be written.
    """

    def __init__(
        self, prepare: Callable[[], object], ask: Callable[[], tuple[int, ...]], seen: object
    ) -> None:
        """``ask`` tells what has been ``seen`` so far, as it is now."""
        self._prepare = prepare
        self._ask = ask
        self._seen = seen
        self._asked = time.monotonic()

    def __call__(self) -> bool:
        """While the records can't be used, nothing is known to have changed."""
        now = time.monotonic()
        if now - self._asked < ASK_EVERY_S:
            return False
        self._asked = now
        try:
            if self._ask() == self._seen:
                return False
            self._prepare()
        except StoreUnavailableError:
            return False
        return True


class Watching:
    """Watch after watch over the same stores, one for each state of the settings.

    ``notes`` are what the start had to tell; they go with every one of them.
    """

    def __init__(
        self, stated: Stated, data: Path, clock: Clock, *, notes: Sequence[str] = ()
    ) -> None:
        """Open the stores and build the first watch.

        Raises:
            StoreUnavailableError: a file can't be opened.
        """
        self._stated = stated
        self._data = data
        self._clock = clock
        self._notes = tuple(notes)
        self.settings, self.stores = open_shed(stated, data, writer=True)
        try:
            self._seen = revisions(self.stores.records)
            self.settings = self._read()
            self._watch = self._build(forgiving=True)
        except BaseException:
            self.stores.close()
            raise

    def run(self, stop: threading.Event) -> None:
        """Watch until ``stop`` is set."""
        while True:
            newer = Newer(self._prepare, lambda: revisions(self.stores.records), self._seen)
            self._watch.run(stop, newer)
            if stop.is_set():
                return
            self._go_on(stop)

    def _go_on(self, stop: threading.Event) -> None:
        """Somebody listened until this moment: nothing is forgiven, and nothing told twice."""
        while not stop.is_set():
            try:
                self._seen = revisions(self.stores.records)
                self._change_to(self._read())
            except StoreUnavailableError as error:
                log.error("what was changed can't be taken up yet: %s", error)
                stop.wait(TRY_AGAIN_AFTER_S)
            else:
                return

    def _change_to(self, settings: Settings) -> None:
        before, now = self.settings, self._clock.now()
        self._watch.save_alarms()  # the next watch begins with what is stored
        put_places(settings, self.stores.records)
        stored = self.stores.readings.deadlines()
        moved = deadlines_after_a_change(stored, before.sensors, settings.sensors, now)
        self.stores.readings.commit(Batch(deadlines=moved))
        self.settings = settings  # from here on a second try would move them again
        watch = self._build(forgiving=False)
        watch.go_on_from(self._watch)
        self._watch = watch
        log.info("settings changed (revision %d), watching by them", settings.revision)
        if settings.faults != before.faults:
            _log_faults(settings)

    def _prepare(self) -> None:
        """What can fail, as far as it harms nothing while the watch before still runs."""
        put_places(self._read(), self.stores.records)

    def _read(self) -> Settings:
        return settings_now(self._stated, self._data, self.stores.records)

    def _build(self, *, forgiving: bool) -> Watch:
        return build_watch(
            self.settings,
            self._data,
            self.stores,
            self._clock,
            forgiving=forgiving,
            notes=self._notes,
        )


def _open(stated: Stated, data: Path, clock: Clock) -> Watching:
    """With a fresh store of readings where the old one is damaged: the birds come first."""
    readings_file = settings_of(stated, data).readings_file
    try:
        return Watching(stated, data, clock)
    except StoreUnavailableError as error:
        if not (is_damage(error) and str(readings_file) in str(error)):
            raise
        reason = f"the store of readings is damaged ({error})"
    kept = put_aside(readings_file, clock.now())
    note = f"{reason}; it was put aside as {kept.name} and a fresh one begun"
    log.error("%s", note)
    watching = Watching(stated, data, clock, notes=[note])
    watching.stores.readings.commit(Batch(gaps=[Gap(at=clock.now(), reason=note)]))
    return watching


def _log_faults(settings: Settings) -> None:
    for fault in settings.faults:
        log.error("configuration: %s", fault)
