"""The watch: takes what the listener brings, walks it, and looks after deadlines.

One thread does all of it, so that readings, rules and alarms need no locks. It shows that it
lives by a heartbeat. When the listener's own thread is dead, the process ends and its parent
starts it anew.
"""

import logging
import os
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path
from typing import Protocol, Self

from service.alarm_requests import carry_out
from service.clock import Clock, speed_of
from service.errors import NotKnownError, StoreUnavailableError
from service.heartbeat import Heartbeat, read_heartbeat, write_heartbeat
from service.intake.batcher import CLOSE_AFTER_S, Batcher
from service.intake.delivery import Delivery, PossibleGap
from service.intake.mqtt_listener import MqttListener
from service.intake.mqtt_round import ROUND_S, MqttRound, RoundOf
from service.reading_path import ReadingPath
from service.store.alarm_store import Request, RequestKind, RequestStore
from service.store.reading_store import Gap

log = logging.getLogger(__name__)

HEARTBEAT_EVERY_S = 2.0
STEP_S = 0.5
RECONNECT_AFTER_FAILURES = 12
MOST_PENDING = 2000
CLOCK_LEAP = timedelta(minutes=1)
KEEP_OVERHEARD_EVERY_S = 2.0
RETRY_AFTER_S = 1.5
"""Changed settings are noticed within a second, and the watch is then built anew."""


class Alongside(Protocol):
    """Work that the watch looks after and that no alarm depends on: it raises nothing."""

    def step(self, now: datetime) -> None:
        """Do the little that is due; called about twice a second."""
        ...

    def go_on_from(self, before: Self) -> None:
        """Take over what one before it has begun."""
        ...

    def stop(self) -> None:
        """End what runs."""
        ...


class Nothing:
    """Fulfils ``Alongside``: there is no such work."""

    def step(self, now: datetime) -> None: ...
    def go_on_from(self, before: Self) -> None: ...
    def stop(self) -> None: ...


NOTHING = Nothing()


class Watch:
    """The loop around the walk of a reading."""

    def __init__(
        self,
        *,
        listener: MqttListener,
        path: ReadingPath,
        requests: RequestStore,
        clock: Clock,
        round_of: RoundOf,
        heartbeat_file: Path,
        notes: Sequence[str] = (),
        commit_every_s: float = CLOSE_AFTER_S,
        on_beat: Callable[[], None] = lambda: None,
        give_up: Callable[[int], None] = os._exit,
        alongside: Alongside = NOTHING,
    ) -> None:
        self._alongside = alongside
        self._listener = listener
        self._path = path
        self._requests = requests
        self._clock = clock
        self._heartbeat_file = heartbeat_file
        self._notes = tuple(notes)
        self._on_beat = on_beat
        self._give_up = give_up
        self._batcher = Batcher(close_after_s=commit_every_s)
        self._pending: list[Delivery] = []
        self._gaps: list[PossibleGap] = []
        self._failures = 0
        self._store_trouble: str | None = None
        self._alarm_trouble: str | None = None
        self._moved: dict[str, float] = {}
        self._last_message_at: datetime | None = None
        self._started_at = clock.now()
        self._ticked_at = self._started_at
        self._ticked_monotonic = time.monotonic()
        self._beat_at = 0.0
        self._round_of = round_of
        self._round: MqttRound | None = None
        self._round_trouble: str | None = None
        self._round_taken_at = 0.0
        self._retry_seen: dict[int, float] = {}

    def go_on_from(self, before: "Watch") -> None:
        """Take over what the heartbeat tells of the watch that this one replaces."""
        self._moved = dict(before._moved)  # noqa: SLF001 - one of its own kind
        self._last_message_at = before._last_message_at  # noqa: SLF001 - as above
        self._started_at = before._started_at  # noqa: SLF001 - as above
        self._alongside.go_on_from(before._alongside)  # noqa: SLF001 - as above

    def save_alarms(self) -> None:
        """Write what the last messages have raised and cleared.

        Raises:
            StoreUnavailableError: they are kept for the next try.
        """
        self._path.save_alarms()

    def run(self, stop: threading.Event, changed: Callable[[], bool] = lambda: False) -> None:
        """Until ``stop`` is set or ``changed`` says that the settings are others now.

        Then what was taken is stored and the connection closed. ``changed`` is asked at every
        step, about twice a second, and must not raise.
        """
        self._listener.start()
        self._go_on_with_the_round()
        try:
            while not stop.is_set() and not changed():
                self._step()
        finally:
            self._close_batch()
            with suppress(StoreUnavailableError):  # tried again by whoever goes on from here
                self.save_alarms()
            if self._round is not None:
                self._round.stop()
                self._keep_overheard(self._round)
            self._listener.stop()
            if stop.is_set():
                self._alongside.stop()

    def _step(self) -> None:
        if not self._listener.alive():
            log.error("the listener's thread does not move; ending, to be started anew")
            self._give_up(1)
        self._take()
        now = time.monotonic()
        if self._pending or self._batcher.is_due(now, self._listener.window):
            self._close_batch()
        self._record_gaps()
        self._look_at_deadlines()
        self._look_around()
        self._beat()
        self._alongside.step(self._clock.now())

    def _take(self) -> None:
        if len(self._pending) >= MOST_PENDING:
            # Nothing can be stored: leave the rest where it is safe, with the broker.
            time.sleep(STEP_S)
            return
        patience_s = min(STEP_S, self._batcher.seconds_left(time.monotonic()))
        deliveries = self._listener.take(patience_s)
        for delivery in deliveries:
            if not delivery.message.retained:
                self._last_message_at = delivery.message.received_at
        self._batcher.add(deliveries, time.monotonic())

    def _close_batch(self) -> None:
        """Walk the batch. What could not be stored is kept, and tried again with the next.

        Danger does not wait for a full disk: readings that could not be stored are assessed
        all the same. To assess them again, once they are stored, changes nothing.
        """
        new = self._batcher.close()
        self._pending += new
        batch = tuple(self._pending)
        if not batch:
            return
        try:
            self._path.walk(
                [delivery.message for delivery in batch],
                stored=lambda: self._listener.acknowledge(batch),
            )
        except StoreUnavailableError as error:
            self._failed(error)
            self._path.heed([delivery.message for delivery in new])
        else:
            self._pending.clear()
            self._failures = 0
            self._store_trouble = None
            self._moved["store"] = time.monotonic()

    def _failed(self, error: StoreUnavailableError) -> None:
        # What is not acknowledged stays with the broker too, but it sends it again only on a
        # new connection: should we lose ours, nothing is lost.
        self._failures += 1
        self._store_trouble = f"readings can't be stored: {error}"
        if len(self._pending) >= MOST_PENDING:
            self._store_trouble += "; nothing more is taken, and limits are not watched"
        log.error("readings can't be stored (try %d): %s", self._failures, error)
        if self._failures % RECONNECT_AFTER_FAILURES == 0:
            self._listener.reconnect()

    def _record_gaps(self) -> None:
        self._gaps += self._listener.take_gaps()
        if not self._gaps:
            return
        try:
            self._path.record_gaps([Gap(at=gap.at, reason=gap.reason) for gap in self._gaps])
        except StoreUnavailableError as error:
            log.error("a gap can't be noted yet: %s", error)
        else:
            self._gaps.clear()

    def _look_at_deadlines(self) -> None:
        try:
            self._tick()
            for request in self._requests.pending():
                if not self._is_early(request):
                    self._carry_out(request)
            self._path.save_alarms()
        except StoreUnavailableError as error:
            self._alarm_trouble = f"alarms can't be stored: {error}"
            log.error("alarms can't be stored: %s", error)
        else:
            self._alarm_trouble = None
            self._moved["rules"] = time.monotonic()

    def _tick(self) -> None:
        now = self._clock.now()
        monotonic = time.monotonic()
        passed = timedelta(seconds=(monotonic - self._ticked_monotonic) * speed_of(self._clock))
        leap = now - self._ticked_at - passed
        if abs(leap) > CLOCK_LEAP:
            # Put back: what is remembered lies in the future, and readings would be taken for
            # old ones. Put forward: nobody was silent for that long.
            log.warning("the clock was changed by %s, it is now %s", leap, now)
            self._path.restore(now)
        self._ticked_at, self._ticked_monotonic = now, monotonic
        # A message that waits for its commit may be the sign of life that a deadline waits for.
        waiting = self._batcher.oldest
        until = now if waiting is None else min(now, waiting.message.received_at)
        self._path.tick(until, deaf=not self._listener.liveness().connected)

    def _is_early(self, request: Request) -> bool:
        """Letters are read again by what was described for them: that has to come into force."""
        if request.kind is not RequestKind.RETRY_LETTERS:
            return False
        now = time.monotonic()
        return now - self._retry_seen.setdefault(request.id, now) < RETRY_AFTER_S

    def _carry_out(self, request: Request) -> None:
        now = self._clock.now()
        if request.kind is RequestKind.LISTEN_ROUND:
            self._begin_round(time.monotonic() + ROUND_S)
            outcome = f"listening to every topic for {ROUND_S / 60:.0f} minutes"
        elif request.kind is RequestKind.RETRY_LETTERS:
            outcome = self._retry(request, now)
        else:
            outcome = carry_out(self._path.alarms, request, now)
        with suppress(NotKnownError):  # somebody took the request away meanwhile
            self._requests.settle(request.id, at=now, outcome=outcome)

    def _retry(self, request: Request, now: datetime) -> str:
        try:
            return str(self._path.retry(request.subject, now))
        except StoreUnavailableError as error:
            log.error("dead letters can't be read again: %s", error)
            return f"Not all of them were read again: {error}"

    def _go_on_with_the_round(self) -> None:
        """A round outlives a change of the settings, though not the process."""
        before = read_heartbeat(self._heartbeat_file)
        if before is not None and before.pid == os.getpid():
            left_s = before.round_left_s()
            if 0.0 < left_s <= ROUND_S:
                self._begin_round(time.monotonic() + left_s)

    def _begin_round(self, ends_at: float) -> None:
        self._round_trouble = None
        if self._round is not None and not self._round.over:
            self._round.ends_at = ends_at
            return
        self._round = self._round_of(ends_at)
        self._round.start()

    def _look_around(self) -> None:
        now = time.monotonic()
        if self._round is None or now - self._round_taken_at < KEEP_OVERHEARD_EVERY_S:
            return
        self._round_taken_at = now
        over = self._round.over
        self._keep_overheard(self._round)
        if over:
            if self._round.trouble:
                self._round_trouble = f"listening to every topic ended: {self._round.trouble}"
            self._round = None

    def _keep_overheard(self, heard_by: MqttRound) -> None:
        overheard = heard_by.take()
        if not overheard:
            return
        try:
            self._path.keep_overheard(overheard)
        except StoreUnavailableError as error:
            log.error("what was overheard can't be kept: %s", error)

    def _beat(self) -> None:
        now = time.monotonic()
        if now - self._beat_at < HEARTBEAT_EVERY_S:
            return
        self._beat_at = now
        liveness = self._listener.liveness()
        if liveness.last_packet_monotonic is not None and liveness.ok:
            self._moved["listener"] = liveness.last_packet_monotonic
        if not self._pending:
            self._moved["store"] = now
        troubles = (
            self._store_trouble,
            self._alarm_trouble,
            self._round_trouble,
            self._path.trouble,
        )
        heartbeat = Heartbeat(
            pid=os.getpid(),
            at=self._clock.now(),
            started_at=self._started_at,
            written_monotonic=now,
            moved_monotonic=dict(self._moved),
            broker=liveness.text,
            last_message_at=self._last_message_at,
            notes=(
                *self._notes,
                *(trouble for trouble in troubles if trouble),
                *self._path.twins(),
            ),
            round_ends_monotonic=None if self._round is None else self._round.ends_at,
            ignored=self._path.ignored,
        )
        try:
            write_heartbeat(self._heartbeat_file, heartbeat)
        except OSError as error:
            log.error("no heartbeat: %s: %s", self._heartbeat_file, error.strerror)
        # Listener, store and rules all had their turn, or this line would not be reached.
        self._on_beat()
