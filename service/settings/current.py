"""The settings as they are now, for a process that runs on while pages change them."""

import threading
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from service.errors import StoreUnavailableError
from service.settings.in_force import settings_of
from service.settings.settings import Settings
from service.settings.stated import Stated
from service.store.kept_settings import Kept, KeptSettings, UnreadableSettingsError

LOOK_EVERY_S = 1.0


def read_settings(stated: Stated, data: Path, kept: KeptSettings) -> Settings:
    """The file over what is kept now; where that is damaged the file alone, and it says so.

    Raises:
        StoreUnavailableError: the records can't be read now.
    """
    try:
        found = kept.read()
    except UnreadableSettingsError as error:
        stated = replace(stated, faults=(*stated.faults, str(error)))
        found = Kept(document={}, revision=error.revision)
    return settings_of(stated, data, found)


class CurrentSettings:
    """Asks for the revision once a second at most; safe to share between threads.

    While the records can't be read the settings stay as they were.
    """

    def __init__(
        self,
        read: Callable[[], Settings],
        revision: Callable[[], object],
        *,
        monotonic: Callable[[], float] = time.monotonic,
    ) -> None:
        """Read them for the first time. ``revision`` changes whenever they do.

        Raises:
            StoreUnavailableError: the records can't be read.
        """
        self._read = read
        self._revision = revision
        self._monotonic = monotonic
        self._lock = threading.Lock()
        # Asked before the settings are read: a change between the two is seen at the next look.
        self._seen = revision()
        self._settings = read()
        self._looked = monotonic()

    def __call__(self) -> Settings:
        """The settings as they were a second ago at most."""
        with self._lock:
            now = self._monotonic()
            if now - self._looked >= LOOK_EVERY_S:
                self._look(now)
            return self._settings

    def renew(self) -> None:
        """Look at once: somebody here has just changed them."""
        with self._lock:
            self._look(self._monotonic())

    def _look(self, now: float) -> None:
        self._looked = now
        try:
            newest = self._revision()
            if newest != self._seen:
                self._settings = self._read()
                self._seen = newest
        except StoreUnavailableError:
            return
