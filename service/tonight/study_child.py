"""The study as a process of its own: it needs numpy, which the watch shall never load.

One at a time, after everything else for the processor, gone when it is done: so its memory
comes back. What it does or fails to do never reaches the watch but as a line of its log and as
what it has stored.
"""

import logging
import subprocess
import sys
import time
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from service.child_process import environment_of_a_child

log = logging.getLogger(__name__)

LONGEST_S = 900.0
"""A study that takes longer hangs, and is ended [s]. One of 400 nights takes a few seconds."""

_GIVEN_TIME_TO_STOP_S = 2.0


def _environment() -> dict[str, str]:
    """One thread is quicker for matrices so small, and leaves the other cores alone."""
    return {**environment_of_a_child(), "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}


def study_command(data: Path, config: Path | None, at: datetime) -> tuple[str, ...]:
    """What to run; ``at`` is the time in the shed."""
    named = ("--config", str(config)) if config is not None else ()
    told = ("--data", str(data), *named, "--at", at.isoformat())
    return (sys.executable, "-m", "service", "study-tonight", *told)


class StudyChild:
    """Begins a study, and looks after the one that runs. For one thread."""

    def __init__(self, *, longest_s: float = LONGEST_S) -> None:
        self._longest_s = longest_s
        self._process: subprocess.Popen[bytes] | None = None
        self._began = 0.0

    @property
    def runs(self) -> bool:
        """Whether one is still at work; one that takes too long is ended here."""
        if self._process is None:
            return False
        status = self._process.poll()
        if status is not None:
            if status != 0:
                log.error("the study of the nights ended with status %d", status)
            self._process = None
            return False
        if time.monotonic() - self._began > self._longest_s:
            log.error("the study of the nights took over %.0f s and was ended", self._longest_s)
            self.stop()
            return False
        return True

    def begin(self, command: Sequence[str]) -> bool:
        """Start it, unless one runs already; whether it was started."""
        if self.runs:
            return False
        try:
            self._process = subprocess.Popen(  # noqa: S603 - our own program
                command, stdin=subprocess.DEVNULL, env=_environment()
            )
        except OSError as error:  # too little memory, for example
            log.error("the study of the nights can't be started: %s", error.strerror)
            return False
        self._began = time.monotonic()
        return True

    def stop(self) -> None:
        """End the one that runs, if any; what it has stored by then stays."""
        if self._process is None:
            return
        self._process.terminate()
        try:
            self._process.wait(_GIVEN_TIME_TO_STOP_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        self._process = None
