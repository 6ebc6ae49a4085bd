"""The watch as a process of its own: no web framework, no plotting."""

import logging
from pathlib import Path

from service.clock import Clock
from service.commands.keeping_alive import stop_on_signals
from service.commands.replaying import forget_replay
from service.intake.data_lock import DataLock
from service.settings.load import load_or_last_good
from service.wiring import build_watch, open_stores

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
        stores = open_stores(settings, data, writer=True)
        try:
            build_watch(settings, data, stores, clock).run(stop)
        finally:
            stores.close()
