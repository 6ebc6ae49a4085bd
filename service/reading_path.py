"""The walk of a reading, from a message to an alarm.

    message → decoded → placed → judged → stored → acknowledged → assessed → alarm

(Pages follow from what is stored.) Nothing is dropped on the way but what the keeper wants to
hear no more of: what can't be used is stored as a dead letter or as an unknown sender, and a
flagged reading is a reading.
"""

import logging
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from operator import attrgetter

from devices.errors import DecodeError
from devices.formats.decoded import Decoded
from devices.message import Message
from devices.reading import Measurement, Quantity, Reading
from service.alarm_path import AlarmPath
from service.clock_path import ClockPath
from service.guarded_rules import GuardedRules
from service.judge_path import recall
from service.limit_path import LimitPath
from service.nest_rules_path import NestRulesPath
from service.overdue_path import OverduePath
from service.quality.correction import Corrections
from service.quality.flag import Flag, Judged
from service.quality.judge import is_history
from service.quality.judging import Judge
from service.quality.placement import RETAINED_WITHOUT_TIME, Placement
from service.quality.stays import Stays
from service.rule_path import RulePath
from service.store.reading_store import (
    Batch,
    DeadLetter,
    Gap,
    Heard,
    Overheard,
    ReadingStore,
    Stranger,
)
from service.twins_path import TwinsPath

log = logging.getLogger(__name__)

_INSTANT = timedelta(microseconds=1)
_MOST_TOPICS = 1000
"""A sender that makes up topics for ever must not fill the memory."""

_REASONS_TOLD = 3
_LETTERS_AT_ONCE = 200
"""Of 64 KB at most, as they are kept: 13 MB."""

_MEASURED_AT = attrgetter("measured_at")

NO_CORRECTIONS = Corrections()
NO_STAYS = Stays()

Decode = Callable[[Message], Decoded]
"""Finds the feed of a message and reads it; raises DecodeError."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Read:
    """What one message came to. ``heard`` are the devices that it shows to be alive.

    ``decoded`` is None where it could not be read: then it is ``overheard``, for the keeper to
    say what it means.
    """

    message: Message
    decoded: Decoded | None = None
    judged: tuple[Judged, ...] = ()
    dead_letters: tuple[DeadLetter, ...] = ()
    strangers: tuple[Stranger, ...] = ()
    heard: tuple[str, ...] = ()
    overheard: Overheard | None = None
    ignored: int = 0

    @property
    def at(self) -> datetime:
        return self.message.received_at


@dataclass(frozen=True, slots=True, kw_only=True)
class Retried:
    """What came of reading dead letters again: ``read`` of ``tried`` became readings."""

    tried: int
    read: int
    still: tuple[str, ...] = ()

    def __str__(self) -> str:
        if not self.tried:
            return "There are no messages of this topic to read again."
        told = f"{self.read} of {self.tried} could be read."
        return " ".join((told, *(f"Not read: {reason}." for reason in self.still)))


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
        twins: TwinsPath,
        clocks: ClockPath,
        judge: Judge,
        alarms: AlarmPath,
        nests: NestRulesPath | None = None,
        rules: Sequence[RulePath] = (),
        ignored: frozenset[str] = frozenset(),
        corrections: Corrections = NO_CORRECTIONS,
        stays: Stays = NO_STAYS,
    ) -> None:
        self.ignored = 0
        self._corrections = corrections
        self._stays = stays
        self._decode = decode
        self._twins = twins
        self._clocks = clocks
        self._judge = judge
        self._ignored_devices = ignored
        self._overheard: set[str] = set()
        self._placement = placement
        self._store = store
        self._limits = limits
        self._overdue = overdue
        self._alarms = alarms
        self._nests = nests
        self._rules = GuardedRules(rules)

    def restore(self, now: datetime, *, forgiving: bool = True) -> None:
        """Take up where the last run left off; the first thing to call.

        ``forgiving``: nobody listened meanwhile, so that silence till now is no silence.
        """
        # Weighed at the end: what hides another alarm may be taken up later than that one.
        with self._alarms.at_once(now):
            self._alarms.restore(now)
            self._limits.restore(self._store, now)
            self._rules.restore(self._store, now)
            self._twins.restore(now)
            self._clocks.restore(now)
            if self._nests is not None:
                self._nests.restore(now)
            moved = self._overdue.restore(self._store.deadlines(), now, forgiving=forgiving)
        overheard = self._store.overheard()
        described = [one.topic for one in overheard if self._can_be_read(one)]
        self._overheard = {one.topic for one in overheard}.difference(described)
        known = [
            (one.device, one.measure)
            for one in self._store.strangers()
            if one.device in self._ignored_devices or self._placement.knows(one.device, one.measure)
        ]
        self._store.commit(
            Batch(deadlines=moved, understood_topics=described, understood_strangers=known)
        )
        # Last, for what was read until now was read to see whether it can be.
        recall(self._judge, self._store, now)

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
        batch = self._batch(read)
        try:
            new = self._store.commit(replace(batch, recorded=recorded))
        except BaseException:
            self._judge.go_back()
            raise
        self._judge.keep()
        stored()
        self._note_topics(batch)
        self.ignored += sum(one.ignored for one in read)
        self._assess(read)
        return new

    def retry(self, topic: str, now: datetime) -> Retried:
        """Read the kept dead letters of a topic again, each as of its own arrival.

        What becomes readings leaves the dead letters in the same transaction. Rules see it as
        they see what was stored before a start: by event time, and old readings raise nothing.
        It is no sign of life.

        Raises:
            StoreUnavailableError: what was not read by then stays a dead letter.
        """
        told = Retried(tried=0, read=0)
        stay = 0
        try:
            # Some at a time, oldest first, as they came: all of them may fill the memory.
            while letters := self._store.dead_letters_of(topic, skip=stay, most=_LETTERS_AT_ONCE):
                again = [(letter, self._read(_message_of(letter))) for letter in letters]
                read = [(letter, one) for letter, one in again if _is_understood(letter, one)]
                left = self._commit_again(read)
                stay += len(letters) - len(read) + left
                told = Retried(
                    tried=told.tried + sum(letter.count for letter in letters),
                    read=told.read + sum(letter.count for letter, _ in read),
                    still=_first_few((*told.still, *_why_not(again))),
                )
        finally:
            self._judge.go_back()
            if told.read:
                self._limits.restore(self._store, now)
                self._rules.restore(self._store, now)
        return told

    def _commit_again(self, read: Sequence[tuple[DeadLetter, _Read]]) -> int:
        """Store what was read; how many letters were put in the place of others."""
        left = [
            replace(rest, count=letter.count) for letter, one in read for rest in one.dead_letters
        ]
        self._store.commit(
            Batch(
                judged=[judged for _, one in read for judged in one.judged],
                strangers=[stranger for _, one in read for stranger in one.strangers],
                rejudged=self._judge.take_rejudged(),
                dead_letters=left,
                understood_letters=[letter for letter, _ in read],
                recorded=True,
            )
        )
        self._judge.keep()
        return len(left)

    def twins(self) -> Sequence[str]:
        """Names that two devices have, each in a sentence."""
        return self._twins.told()

    def keep_overheard(self, overheard: Sequence[Overheard]) -> None:
        """Keep messages that no feed describes, for the keeper to look at.

        Raises:
            StoreUnavailableError: none was kept.
        """
        batch = Batch(overheard=overheard)
        self._store.commit(batch)
        self._note_topics(batch)

    def heed(self, messages: Sequence[Message]) -> None:
        """Only assess, for messages that can't be stored now: danger does not wait."""
        read = [self._read(message) for message in messages]
        self._judge.go_back()  # they come again, to be stored
        self._assess(read)

    def tick(self, now: datetime, *, deaf: bool | None = None) -> None:
        """Let deadlines come, each at its own time, up to ``now``.

        ``deaf``: the broker can't be heard now; None: as it was told last.
        """
        if deaf is not None:
            self._overdue.hears(deaf=deaf, now=now)
        while True:
            deadlines = (
                self._limits.next_deadline(),
                self._overdue.next_deadline(),
                self._alarms.next_deadline(),
                None if self._nests is None else self._nests.next_deadline(),
                self._rules.next_deadline(),
            )
            soonest = min((at for at in deadlines if at is not None), default=None)
            if soonest is None or soonest > now:
                return
            self._limits.tick(soonest)
            self._overdue.tick(soonest)
            self._alarms.tick(soonest)
            self._rules.tick(soonest)
            if self._nests is not None:
                self._nests.tick(soonest)

    @property
    def trouble(self) -> str | None:
        """Why the rules on the nest book are not watched now, in words; None where they are."""
        nests = None if self._nests is None else self._nests.trouble
        return "; ".join(told for told in (nests, self._rules.trouble) if told) or None

    @property
    def alarms(self) -> AlarmPath:
        """The open alarms, for what persons ask of them."""
        return self._alarms

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
            if error.device in self._ignored_devices:
                return _Read(message=message, ignored=1)
            reason = error.reason
        except Exception as error:
            log.exception("a fault of ours, met by a message under %s", message.topic)
            reason = f"a fault in this service: {type(error).__name__}: {error}"
        overheard = Overheard(
            topic=message.topic, payload=message.payload, reason=reason, at=message.received_at
        )
        letter = _dead_letter(message, reason)
        return _Read(message=message, dead_letters=(letter,), overheard=overheard)

    def _can_be_read(self, overheard: Overheard) -> bool:
        """Whether a feed describes its topic by now."""
        read = self._read(
            Message(topic=overheard.topic, payload=overheard.payload, received_at=overheard.at)
        )
        return read.overheard is None

    def _understand(self, message: Message) -> _Read:
        told = self._decode(message)
        decoded = without(told, self._ignored_devices)
        placed_readings: list[Reading] = []
        strangers: list[Stranger] = []
        reasons = list(decoded.faults)
        for measurement in decoded.measurements:
            placed = self._placement.place(measurement, message)
            if isinstance(placed, Reading):
                placed_readings.append(self._corrections.applied_to(self._stays.applied_to(placed)))
            elif placed.is_stranger:
                strangers.append(_stranger(measurement, message))
            else:
                reasons.append(placed.reason)
        # A pack may tell its newest record first, and one is judged by the one before.
        placed_readings.sort(key=_MEASURED_AT)
        judged = [self._judge.judge(reading) for reading in placed_readings]
        return _Read(
            message=message,
            decoded=decoded,
            judged=tuple(judged),
            dead_letters=tuple(_dead_letter(message, reason) for reason in reasons),
            strangers=tuple(strangers),
            heard=() if message.retained else tuple(decoded.devices - _talking_nonsense(judged)),
            ignored=len(told.measurements) - len(decoded.measurements),
        )

    def _batch(self, read: Sequence[_Read]) -> Batch:
        heard: dict[str, Heard] = {}
        for one in read:
            for device in one.heard:
                if (life := self._overdue.heard(device, one.at)) is not None:
                    heard[device] = life
        return Batch(
            judged=[judged for one in read for judged in one.judged],
            rejudged=self._judge.take_rejudged(),
            dead_letters=[letter for one in read for letter in one.dead_letters],
            strangers=[stranger for one in read for stranger in one.strangers],
            heard=list(heard.values()),
            overheard=[one.overheard for one in read if one.overheard is not None],
            understood_topics=[
                topic
                for topic in {one.message.topic for one in read if one.decoded is not None}
                if topic in self._overheard
            ],
        )

    def _note_topics(self, batch: Batch) -> None:
        """Which topics are kept as not described, so that they are forgotten once they are."""
        self._overheard.difference_update(batch.understood_topics)
        self._overheard.update(one.topic for one in batch.overheard)
        if len(self._overheard) > _MOST_TOPICS:
            self._overheard = {one.topic for one in self._store.overheard()}

    def _assess(self, read: Sequence[_Read]) -> None:
        for one in read:
            # A reading that comes right at a deadline is heard before the deadline counts.
            self.tick(one.at - _INSTANT)
            for device in one.heard:
                self._overdue.sign_of_life(device, one.at)
            if one.decoded is not None:
                self._twins.heard(one.message, one.decoded)
                self._clocks.heard(one.message, one.decoded)
            for judged in sorted(one.judged, key=_in_turn):
                if not is_history(judged.reading):
                    self._limits.reading(judged)
                    self._rules.reading(judged)


def _in_turn(judged: Judged) -> tuple[datetime, bool]:
    """Of what was measured at one time light comes first: limits ask whether it is night."""
    return judged.reading.measured_at, judged.reading.quantity is not Quantity.ILLUMINANCE


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


def without(decoded: Decoded, ignored: frozenset[str]) -> Decoded:
    """What is left when the keeper wants to hear nothing of some senders.

    A message of theirs alone leaves nothing, its faults included.
    """
    if ignored.isdisjoint(decoded.senders):
        return decoded
    if decoded.senders <= ignored:
        return Decoded()
    return replace(
        decoded,
        measurements=tuple(one for one in decoded.measurements if one.device not in ignored),
        devices=decoded.devices - ignored,
        senders=decoded.senders - ignored,
    )


def _dead_letter(message: Message, reason: str) -> DeadLetter:
    return DeadLetter(
        topic=message.topic,
        payload=message.payload,
        reason=reason,
        at=message.received_at,
        retained=message.retained,
    )


def _message_of(letter: DeadLetter) -> Message:
    return Message(
        topic=letter.topic,
        payload=letter.payload,
        received_at=letter.at,
        retained=letter.retained or letter.reason == RETAINED_WITHOUT_TIME,
    )


def _is_understood(letter: DeadLetter, read: _Read) -> bool:
    """It became readings, and what was wrong with it is wrong no more.

    One whose sender has no place stays: an unknown sender keeps its last value alone.
    """
    return bool(read.judged) and letter.reason not in {left.reason for left in read.dead_letters}


def _why_not(again: Sequence[tuple[DeadLetter, _Read]]) -> tuple[str, ...]:
    """Why letters stay, each reason once, a few of them."""
    reasons: dict[str, None] = {}
    for letter, read in again:
        if _is_understood(letter, read):
            continue
        if read.strangers:
            reasons[f"{read.strangers[0].device} has no place yet"] = None
        for left in read.dead_letters:
            reasons[left.reason] = None
    return _first_few(reasons)


def _first_few(reasons: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(reasons))[:_REASONS_TOLD]


def _stranger(measurement: Measurement, message: Message) -> Stranger:
    return Stranger(
        device=measurement.device,
        measure=measurement.measure,
        topic=message.topic,
        value=measurement.value,
        unit=measurement.unit,
        at=message.received_at,
    )
