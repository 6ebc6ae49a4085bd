"""The broker of ``up`` as a process of its own: a fault in it leaves watch and pages alone."""

import logging
import os
import signal
from collections.abc import Callable
from pathlib import Path

from devices.errors import ClutchweatherError
from service.commands.keeping_alive import stop_on_signals
from service.machine.broker_keeping import BrokerKeeping, Wish
from service.machine.own_addresses import own_addresses
from service.settings.load import load_or_last_good
from service.settings.settings import Settings
from service.settings.written import is_loopback
from service.store.sql_records import Records, open_records_as_they_are

log = logging.getLogger(__name__)

STEP_S = 1.0
ANY_ADDRESS = frozenset({"0.0.0.0", "::"})  # noqa: S104 - compared with, not listened on


def run_broker(data: Path, config: Path | None, port: int) -> None:
    """Look after the broker until asked to stop.

    Ctrl-C is left to the parent: the broker must outlive those who still say goodbye to it.
    """
    stop = stop_on_signals()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    user = "root" if os.geteuid() == 0 else None
    keeping = BrokerKeeping(data, port=port, user=user, say=lambda words: log.info("%s", words))
    wishes = Wishes(data, config)
    try:
        while not stop.is_set():
            keeping.step(wishes.now())
            stop.wait(STEP_S)
    finally:
        keeping.stop()
        wishes.close()


class Wishes:
    """What the keeper wishes of a broker, as the settings and the people say now.

    While the records can't be read, what was wished last holds.
    """

    def __init__(
        self,
        data: Path,
        config: Path | None,
        addresses: Callable[[], tuple[str, ...]] = own_addresses,
    ) -> None:
        self._data = data
        self._config = config
        self._addresses = addresses
        self._records: Records | None = None
        self._last = Wish()
        self._trouble: str | None = None
        self._logged: str | None = None

    def now(self) -> Wish:
        """Read anew."""
        try:
            self._last = self._read()
        except ClutchweatherError as error:
            # Whatever is wrong with the records: sensors must find their broker.
            self._note(str(error))
        else:
            self._trouble = self._logged = None
        return self._last

    def _note(self, trouble: str) -> None:
        """Log what lasts, once: at the first start the records are just being made."""
        if trouble == self._trouble and trouble != self._logged:
            log.warning("the settings can't be read just now: %s", trouble)
            self._logged = trouble
        self._trouble = trouble

    def close(self) -> None:
        """Let go of the records."""
        if self._records is not None:
            self._records.close()

    def _read(self) -> Wish:
        if self._records is None:
            stated = load_or_last_good(self._config, self._data)
            self._last = Wish(told=stated.broker_told)
            # watch and pages make them: what that takes would stay in memory here.
            self._records = open_records_as_they_are(stated.records_url, self._data)
        if self._records is None:
            return self._last
        settings = load_or_last_good(self._config, self._data, self._records.kept.read())
        let_in = not is_loopback(settings.bind) and self._records.people.has_keeper()
        addresses = self._reached_at(settings) if let_in else ()
        return Wish(told=settings.broker_told, let_in=let_in, addresses=addresses)

    def _reached_at(self, settings: Settings) -> tuple[str, ...]:
        if settings.bind in ANY_ADDRESS:
            return self._addresses()
        return (settings.bind,)
