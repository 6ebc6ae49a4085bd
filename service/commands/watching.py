"""The watch as a process of its own: no web framework, no plotting."""

import logging
from dataclasses import replace
from pathlib import Path

from service.clock import Clock
from service.commands.keeping_alive import stop_on_signals
from service.commands.replaying import forget_replay
from service.errors import StoreUnavailableError
from service.intake.data_lock import DataLock
from service.settings.load import load_or_last_good
from service.settings.settings import Settings
from service.store.reading_store import Batch, Gap
from service.store.sqlite_salvage import is_damage, put_aside
from service.watch import Watch
from service.wiring import Stores, build_watch, open_stores

log = logging.getLogger(__name__)


def run_watch(data: Path, config: Path | None, clock: Clock) -> None:
    """Listen, store and watch, until asked to stop.

    Raises:
        AlreadyRunningError: another copy is at work in the data folder.
    """
    stop = stop_on_signals()
    with DataLock(data):
        forget_replay(data)
        settings = load_or_last_good(config, data)
        for fault in settings.faults:
            log.error("configuration: %s", fault)
        stores, watch = _open(settings, data, clock)
        try:
            watch.run(stop)
        finally:
            stores.close()


def _open(settings: Settings, data: Path, clock: Clock) -> tuple[Stores, Watch]:
    """With a fresh store of readings where the old one is damaged: the birds come first."""
    try:
        return _build(settings, data, clock)
    except StoreUnavailableError as error:
        damaged = is_damage(error) and str(settings.readings_file) in str(error)
        if not damaged:
            raise
        reason = f"the store of readings is damaged ({error})"
    kept = put_aside(settings.readings_file, clock.now())
    note = f"{reason}; it was put aside as {kept.name} and a fresh one begun"
    log.error("%s", note)
    stores, watch = _build(replace(settings, faults=(*settings.faults, note)), data, clock)
    stores.readings.commit(Batch(gaps=[Gap(at=clock.now(), reason=note)]))
    return stores, watch


def _build(settings: Settings, data: Path, clock: Clock) -> tuple[Stores, Watch]:
    stores = open_stores(settings, data, writer=True)
    try:
        return stores, build_watch(settings, data, stores, clock)
    except BaseException:
        stores.close()
        raise
