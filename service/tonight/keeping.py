"""What is done about the outlook, and when: fitted in the morning, issued every hour.

All of it by the shed's own time, so that a simulated shed whose days are short gives the same.
Nothing here may hurt the watch that looks after it: what fails is told in the log and tried
again later, and no alarm ever waits for it.
"""

import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol

from service.errors import StoreUnavailableError
from service.tonight.study_child import StudyChild

log = logging.getLogger(__name__)

LOOK_EVERY = timedelta(minutes=5)
SETTLED_AFTER = timedelta(minutes=2)
"""Readings of the last minutes are still on their way: an hour's outlook waits for them."""

TRY_AGAIN_AFTER = timedelta(hours=1)


class Issuing(Protocol):
    """Says what may be said, from what is stored."""

    def due(self, now: datetime) -> datetime | None:
        """The newest hour of issue that has come and was not issued yet; None: nothing to do."""
        ...

    def issue(self, at: datetime) -> None:
        """Say it, as of ``at``.

        Raises:
            StoreUnavailableError: nothing was said.
        """
        ...

    def study_due(self, now: datetime) -> datetime | None:
        """Since when a study is due; None where the newest model is of this morning."""
        ...


@dataclass(slots=True)
class _Tried:
    """When a study was begun last, and which moment it was for."""

    at: datetime
    due_since: datetime


class TonightKeeping:
    """Fulfils ``Alongside`` of the watch. For one thread."""

    def __init__(
        self, issuing: Issuing, command: Callable[[datetime], Sequence[str]], child: StudyChild
    ) -> None:
        """``command`` is how to run a study as of a time in the shed."""
        self._issuing = issuing
        self._command = command
        self._child = child
        self._looked_at: datetime | None = None
        self._tried: _Tried | None = None

    def step(self, now: datetime) -> None:
        """Look every few minutes of the shed's time; never raises."""
        if self._looked_at is not None and timedelta(0) <= now - self._looked_at < LOOK_EVERY:
            return
        self._looked_at = now
        try:
            self._look(now)
        except StoreUnavailableError as error:
            log.error("the outlook has to wait: %s", error)
        except Exception:  # a fault in here must not end the watch over the birds
            log.exception("the outlook failed; the watch goes on without it")

    def go_on_from(self, before: "TonightKeeping") -> None:
        """The study that another has begun is looked after here from now on."""
        self._child.stop()
        self._child = before._child  # noqa: SLF001 - one of its own kind
        self._tried = before._tried  # noqa: SLF001 - as above

    def stop(self) -> None:
        """End a study that runs."""
        self._child.stop()

    def _look(self, now: datetime) -> None:
        if not self._child.runs:
            self._study(now)
        at = self._issuing.due(now - SETTLED_AFTER)
        if at is not None:
            self._issuing.issue(at)

    def _study(self, now: datetime) -> None:
        due_since = self._issuing.study_due(now)
        if due_since is None:
            return
        tried = self._tried
        waits = (
            tried is not None
            and tried.due_since == due_since
            and timedelta(0) <= now - tried.at < TRY_AGAIN_AFTER
        )
        if not waits:
            self._tried = _Tried(at=now, due_since=due_since)
            self._child.begin(self._command(now))
