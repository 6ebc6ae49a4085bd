"""A mosquitto of our own for a shed, kept alive.

It is started anew when it dies, when its doors change, and told to read the accounts again
when their files change. What waits for watch, and watch's session, outlive that: mosquitto
saves them when it ends and finds them when it starts.
"""

import signal
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from service.intake.mosquitto_process import (
    CONFIGURATION,
    BrokerDidNotStartError,
    MosquittoProcess,
    is_free,
    run_mosquitto,
)
from service.machine.broker_accounts import BrokerAccounts
from service.machine.mosquitto_conf import Doors, own_configuration
from service.machine.whole_file import replace_file

FIRST_PAUSE_S = 1.0
LONGEST_PAUSE_S = 30.0

# Hundreds of megabytes may have to be read from, or saved to, a slow memory card.
STARTS_WITHIN_S = 120.0
STOPS_WITHIN_S = 60.0


class OwnBroker:
    """One mosquitto for one data folder; ``look_after`` is called again and again.

    Args:
        program: The mosquitto to run.
        folder: Where it keeps its files; made when missing.
        say: Told what happened, in words.
    """

    def __init__(self, program: str, folder: Path, say: Callable[[str], None]) -> None:
        self._program = program
        self._folder = folder
        self._say = say
        self._accounts = BrokerAccounts(folder)
        self._running: MosquittoProcess | None = None
        self._wanted: Doors | None = None
        self._doors: Doors | None = None
        self._seen: tuple[int, ...] = ()
        self._pause_s = FIRST_PAUSE_S
        self._not_before = 0.0
        self.trouble: str | None = None

    @property
    def pid(self) -> int | None:
        """The process id of mosquitto, None while it does not run."""
        return None if self._running is None else self._running.pid

    @property
    def doors(self) -> Doors | None:
        """Where it lets in whom now; None while it does not run."""
        return None if self._running is None else self._doors

    def look_after(self, wanted: Doors) -> None:
        """Make it run with these doors, as far as the machine has them to give.

        A door beyond this machine that can't be had (another program has it, the address is
        gone) is left out, and opened once it is free: the others must not suffer for it.
        """
        self._notice_its_end()
        if self._running is not None and self._is_as(wanted):
            self._tell_of_new_accounts()
        elif self._running is not None or time.monotonic() >= self._not_before:
            self.stop()
            self._start(wanted)

    def _is_as(self, wanted: Doors) -> bool:
        if self._wanted != wanted or self._doors is None:
            return False
        shut = set(wanted.reached_at) - set(self._doors.reached_at)
        return not any(is_free(wanted.port, address) for address in shut)

    def stop(self) -> None:
        """End it; what it holds is saved."""
        if self._running is not None:
            self._running.stop(STOPS_WITHIN_S)
            self._running = None

    def _notice_its_end(self) -> None:
        if self._running is None or (last_words := self._running.ended()) is None:
            return
        self._running = None
        self._failed(f"the broker ended ({last_words})")

    def _failed(self, what: str) -> None:
        self.trouble = what
        self._say(f"{what}; starting it again in {self._pause_s:.0f} s")
        self._not_before = time.monotonic() + self._pause_s
        self._pause_s = min(2 * self._pause_s, LONGEST_PAUSE_S)

    def _start(self, wanted: Doors) -> None:
        self._folder.mkdir(parents=True, exist_ok=True)
        self._accounts.make_ready()
        if not is_free(wanted.port):
            self._failed(f"port {wanted.port} of this machine is taken by another program")
            return
        self._seen = self._accounts_as_they_are()
        free = [address for address in wanted.reached_at if is_free(wanted.port, address)]
        doors = replace(wanted, reached_at=tuple(free))
        text = own_configuration(
            doors,
            self._folder.resolve(),
            self._accounts.passwords_file.resolve(),
            self._accounts.access_file.resolve(),
        )
        replace_file(self._folder / CONFIGURATION, text, 0o640)
        try:
            self._running = run_mosquitto(self._program, self._folder, wanted.port, STARTS_WITHIN_S)
        except (BrokerDidNotStartError, OSError) as error:
            self._failed(str(error))
            return
        self._wanted, self._doors = wanted, doors
        self._pause_s = FIRST_PAUSE_S
        self.trouble = None

    def _tell_of_new_accounts(self) -> None:
        """mosquitto(8): on SIGHUP it reads the password file and the access list again."""
        now = self._accounts_as_they_are()
        if now != self._seen and self._running is not None:
            self._seen = now
            self._running.signal(signal.SIGHUP)

    def _accounts_as_they_are(self) -> tuple[int, ...]:
        files = (self._accounts.access_file, self._accounts.passwords_file)
        return tuple(
            part
            for file in files
            if file.exists()
            for part in (file.stat().st_ino, file.stat().st_mtime_ns)
        )
