"""Child processes that are started again when they die.

watch and pages run as children of one parent: a fault in one leaves the other alone. A child
that keeps dying is started again after ever longer pauses, up to half a minute, for ever:
nobody is there at night to start it by hand.
"""

import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence

from service.child_process import environment_of_a_child

FIRST_PAUSE_S = 1.0
LONGEST_PAUSE_S = 30.0
STEADY_AFTER_S = 60.0
GIVEN_TIME_TO_STOP_S = 8.0


class Child:
    """One process that shall live."""

    def __init__(self, name: str, arguments: Sequence[str]) -> None:
        self.name = name
        self._command = [sys.executable, "-m", "service", *arguments]
        self._process: subprocess.Popen[bytes] | None = None
        self._started = 0.0
        self._pause_s = FIRST_PAUSE_S
        self._not_before = 0.0

    def look_after(self, say: Callable[[str], None]) -> None:
        """Start the process if it does not run and its pause is over."""
        now = time.monotonic()
        if self._process is not None and self._process.poll() is not None:
            if now - self._started > STEADY_AFTER_S:
                self._pause_s = FIRST_PAUSE_S
            say(
                f"{self.name} ended with status {self._process.returncode}; "
                f"starting it again in {self._pause_s:.0f} s"
            )
            self._process = None
            self._not_before = now + self._pause_s
            self._pause_s = min(2 * self._pause_s, LONGEST_PAUSE_S)
        if self._process is None and now >= self._not_before:
            self._start(now, say)

    def _start(self, now: float, say: Callable[[str], None]) -> None:
        self._started = now
        try:
            self._process = subprocess.Popen(  # noqa: S603 - our own program
                self._command, env=environment_of_a_child()
            )
        except OSError as error:
            # Too little memory, for example: the other child must not pay for that.
            say(f"{self.name} can't be started: {error.strerror}; trying again")
            self._not_before = now + self._pause_s
            self._pause_s = min(2 * self._pause_s, LONGEST_PAUSE_S)

    def start_anew(self) -> None:
        """End the process; the next look starts it again, without a pause."""
        self.stop()
        self._process = None
        self._not_before = 0.0

    def stop(self) -> None:
        """Ask the process to end, and end it if it does not."""
        if self._process is None or self._process.poll() is not None:
            return
        self._process.terminate()
        try:
            self._process.wait(GIVEN_TIME_TO_STOP_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()


def stop_on_signals() -> threading.Event:
    """An event that is set when somebody asks this process to end."""
    stop = threading.Event()
    for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
        # Who was started to outlive a log-out (nohup) shall do so.
        ignored = number == signal.SIGHUP and signal.getsignal(number) is signal.SIG_IGN
        if not ignored:
            signal.signal(number, lambda *_: stop.set())
    return stop


def keep_alive(
    children: Sequence[Child],
    stop: threading.Event,
    say: Callable[[str], None],
    also: Callable[[], None] = lambda: None,
) -> None:
    """Look after the children until ``stop`` is set; then end them all, in this order.

    ``also`` is done at every look, about five times a second.
    """
    try:
        while not stop.is_set():
            also()
            for child in children:
                child.look_after(say)
            stop.wait(0.2)
    finally:
        for child in children:
            child.stop()
