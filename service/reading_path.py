"""The walk of a reading, from a message to an alarm.

    message → decoded → placed → judged → stored → acknowledged → assessed → alarm

(Pages follow from what is stored.) Nothing is dropped on the way: what can't be used is
stored as a dead letter or as an unknown sender, and a flagged reading is a reading.
"""

import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from devices.errors import DecodeError
from devices.formats.decoded import Decoded
from devices.message import Message
from devices.reading import Measurement, Reading
from service.alarm_path import AlarmPath
from service.limit_path import LimitPath
from service.overdue_path import OverduePath
from service.quality.flag import Flag, Judged
from service.quality.judge import is_history, judge
from service.quality.placement import Placement
from service.store.reading_store import Batch, DeadLetter, Gap, Heard, ReadingStore, Stranger

log = logging.getLogger(__name__)

_INSTANT = timedelta(microseconds=1)

Decode = Callable[[Message], Decoded]
"""Finds the feed of a message and reads it; raises DecodeError."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Read:
    """What one message came to. ``heard`` are the devices that it shows to be alive."""

    at: datetime
    judged: tuple[Judged, ...] = ()
    dead_letters: tuple[DeadLetter, ...] = ()
    strangers: tuple[Stranger, ...] = ()
    heard: tuple[str, ...] = ()


class ReadingPath:
    """Walks messages in the order of their arrival. For one thread."""

    def __init__(
        self,
        *,
        decode: Decode,
        placement: Placement,
        store: ReadingStore,
        limits: LimitPath,
        overdue: OverduePath,
        alarms: AlarmPath,
    ) -> None:
        self._decode = decode
        self._placement = placement
        self._store = store
        self._limits = limits
        self._overdue = overdue
        self._alarms = alarms

    def restore(self, now: datetime, *, forgiving: bool = True) -> None:
        """Take up where the last run left off; the first thing to call.

        ``forgiving``: nobody listened meanwhile, so that silence till now is no silence.
        """
        self._limits.restore(self._store, now)
        moved = self._overdue.restore(self._store.deadlines(), now, forgiving=forgiving)
        self._store.commit(Batch(heard=moved))

    def walk(
        self, messages: Sequence[Message], stored: Callable[[], None], *, recorded: bool = False
    ) -> int:
        """The whole walk; ``stored`` is called as soon as the messages are safe.

        ``recorded`` says that they come from a recording, so that old ones are no sign of a
        clock that was put back.

        Returns how many readings were new.

        Raises:
            StoreUnavailableError: nothing was stored and nothing assessed. Keep the messages,
                and walk them again.
        """
        read = [self._read(message) for message in messages]
        new = self._store.commit(replace(self._batch(read), recorded=recorded))
        stored()
        self._assess(read)
        return new

    def heed(self, messages: Sequence[Message]) -> None:
        """Only assess, for messages that can't be stored now: danger does not wait."""
        self._assess([self._read(message) for message in messages])

    def tick(self, now: datetime, *, deaf: bool = False) -> None:
        """Let deadlines come, each at its own time, up to ``now``.

        ``deaf``: the broker can't be heard now.
        """
        while True:
            deadlines = (self._limits.next_deadline(), self._overdue.next_deadline())
            soonest = min((at for at in deadlines if at is not None), default=None)
            if soonest is None or soonest > now:
                return
            self._limits.tick(soonest)
            self._overdue.tick(soonest, deaf=deaf)

    def acknowledge(self, alarm_id: str, *, by: str | None, at: datetime) -> None:
        """A person has seen an alarm.

        Raises:
            NotKnownError: no open alarm has this id.
        """
        self._alarms.acknowledge(alarm_id, by=by, at=at)

    def save_alarms(self) -> None:
        """Write changed alarms.

        Raises:
            StoreUnavailableError: they are kept for the next try.
        """
        self._alarms.save()

    def record_gaps(self, gaps: Sequence[Gap]) -> None:
        """Note that readings may be missing.

        Raises:
            StoreUnavailableError: nothing was noted.
        """
        self._store.commit(Batch(gaps=gaps))

    def _read(self, message: Message) -> _Read:
        try:
            return self._understand(message)
        except DecodeError as error:
            reason = error.reason
        except Exception as error:
            log.exception("a fault of ours, met by a message under %s", message.topic)
            reason = f"a fault in this service: {type(error).__name__}: {error}"
        return _Read(at=message.received_at, dead_letters=(_dead_letter(message, reason),))

    def _understand(self, message: Message) -> _Read:
        decoded = self._decode(message)
        judged: list[Judged] = []
        strangers: list[Stranger] = []
        reasons = list(decoded.faults)
        for measurement in decoded.measurements:
            placed = self._placement.place(measurement, message)
            if isinstance(placed, Reading):
                judged.append(judge(placed))
            elif placed.is_stranger:
                strangers.append(_stranger(measurement, message))
            else:
                reasons.append(placed.reason)
        return _Read(
            at=message.received_at,
            judged=tuple(judged),
            dead_letters=tuple(_dead_letter(message, reason) for reason in reasons),
            strangers=tuple(strangers),
            heard=() if message.retained else tuple(decoded.devices - _talking_nonsense(judged)),
        )

    def _batch(self, read: Sequence[_Read]) -> Batch:
        heard: dict[str, Heard] = {}
        for one in read:
            for device in one.heard:
                if (life := self._overdue.heard(device, one.at)) is not None:
                    heard[device] = life
        return Batch(
            judged=[judged for one in read for judged in one.judged],
            dead_letters=[letter for one in read for letter in one.dead_letters],
            strangers=[stranger for one in read for stranger in one.strangers],
            heard=list(heard.values()),
        )

    def _assess(self, read: Sequence[_Read]) -> None:
        for one in read:
            # A reading that comes right at a deadline is heard before the deadline counts.
            self.tick(one.at - _INSTANT)
            for device in one.heard:
                self._overdue.sign_of_life(device, one.at)
            # A pack may tell its newest record first.
            for judged in sorted(one.judged, key=lambda judged: judged.reading.measured_at):
                if not is_history(judged.reading):
                    self._limits.reading(judged)


def _talking_nonsense(judged: Sequence[Judged]) -> set[str]:
    """Devices of which nothing in this message can be used for the present.

    A broken thermometer that sends the same impossible value each minute, or a sender whose
    clock stands in the last month, is as good as silent.
    """
    usable = {
        one.reading.device
        for one in judged
        if one.flag_for_rules is not Flag.FAIL and not is_history(one.reading)
    }
    return {one.reading.device for one in judged} - usable


def _dead_letter(message: Message, reason: str) -> DeadLetter:
    return DeadLetter(
        topic=message.topic, payload=message.payload, reason=reason, at=message.received_at
    )


def _stranger(measurement: Measurement, message: Message) -> Stranger:
    return Stranger(
        device=measurement.device,
        measure=measurement.measure,
        topic=message.topic,
        value=measurement.value,
        unit=measurement.unit,
        at=message.received_at,
    )
