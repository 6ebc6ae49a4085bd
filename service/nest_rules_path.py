"""From what the nest book tells to an alarm: boxes, duties, and the copy of it all.

By event time. The book is read again when its file was written since, which is looked at once
a minute at most; time alone moves these rules by days, so they are judged each hour of the day
besides, and at what the book itself tells of a time to come (a recording's does).

Alarms of low priority begin in the daytime only: nobody is woken for a duty. Those of medium
priority rest on a look or a weighing that was told just now, and do not wait.

A fault in here must not end the watch over the birds: it is told as a trouble, and tried again.
"""

import logging
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, time, timedelta, tzinfo

from service.alarm_path import AlarmPath, Raised
from service.alarms.alarm import Alarm
from service.errors import StoreUnavailableError
from service.nests.as_known import next_told
from service.rules.limit import Assessment, Priority
from service.rules.nest_rules.of_shed import KINDS, Found, ShedBook, found_in
from service.rules.rationales import kind_of
from service.rules.rule_settings import RuleSettings

log = logging.getLogger(__name__)

ASK_EVERY = timedelta(minutes=1)
JUDGE_EVERY = timedelta(hours=1)
TOLD_FROM, TOLD_UNTIL = time(7), time(21)
"""By the shed's own clock. Common practice, no source."""

BY_THE_BOOK = "the nest book"


class BookOf:
    """The book, read again when it may have changed."""

    def __init__(
        self, read: Callable[[], ShedBook], sign: Callable[[], object] | None = None
    ) -> None:
        """``sign`` tells something else whenever the book was written; None where nobody
        writes while this one reads.
        """
        self._read = read
        self._sign = sign
        self._seen: object = None
        self._known: ShedBook | None = None

    @property
    def may_change(self) -> bool:
        """Whether somebody else may write to it."""
        return self._sign is not None

    def has_changed(self) -> bool:
        """Whether it was written since it was read; True before that."""
        return self._known is None or (self._sign is not None and self._sign() != self._seen)

    def now(self) -> ShedBook:
        """The book as it is.

        Raises:
            StoreUnavailableError: it can't be read now.
        """
        if self._known is None or self._sign is not None:
            # The sign first: what is written while the book is read makes it be read again.
            self._seen = None if self._sign is None else self._sign()
            self._known = self._read()
        return self._known


class NestRulesPath:
    """All rules on the nest book of one shed."""

    def __init__(
        self, book: BookOf, rules: RuleSettings, zone: tzinfo, shed: str, alarms: AlarmPath
    ) -> None:
        """``shed`` is the place that duties and backups are told of."""
        self._book = book
        self._rules = rules
        self._zone = zone
        self._shed = shed
        self._alarms = alarms
        self._ask_at: datetime | None = None
        self._judge_at: datetime | None = None
        self.trouble: str | None = None

    def restore(self, now: datetime) -> None:
        """Take up at ``now``: everything is judged anew at the next tick."""
        self._ask_at = self._judge_at = now

    def next_deadline(self) -> datetime | None:
        """When to look next; None before ``restore``."""
        return self._ask_at

    def tick(self, now: datetime) -> None:
        """Look, where it is time to; never raises."""
        if self._ask_at is None or now < self._ask_at:
            return
        try:
            self._look(now)
        except StoreUnavailableError as error:
            self._put_off(now, f"the nest book can't be read: {error}")
        except Exception as error:  # it must not end the watch over the birds
            log.exception("the rules on the nest book failed")
            self._put_off(now, f"the rules on the nest book fail: {type(error).__name__}: {error}")

    def _put_off(self, now: datetime, trouble: str) -> None:
        log.error("%s", trouble)
        self.trouble = trouble
        self._ask_at = self._judge_at = now + ASK_EVERY

    def _look(self, now: datetime) -> None:
        due = self._judge_at is None or now >= self._judge_at
        if due or self._book.has_changed():
            book = self._book.now()
            found = found_in(book, self._rules, now, zone=self._zone, shed=self._shed)
            with self._alarms.at_once(now):
                self._tell(found, now)
            self._judge_at = self._next_judging(book, now)
        self.trouble = None
        ask_at = now + ASK_EVERY
        judge_at = self._judge_at or ask_at
        self._ask_at = min(ask_at, judge_at) if self._book.may_change else judge_at

    def _next_judging(self, book: ShedBook, now: datetime) -> datetime:
        """The next full hour of the day, or what the book tells of a time to come."""
        hour = now.astimezone(UTC).replace(minute=0, second=0, microsecond=0) + JUDGE_EVERY
        while not self._is_told(hour):
            hour += JUDGE_EVERY
        told = (next_told(nest, now, self._zone) for nest in book.nests)
        return min([hour, *(at for at in told if at is not None)])

    def _is_told(self, at: datetime) -> bool:
        return TOLD_FROM <= at.astimezone(self._zone).time() < TOLD_UNTIL

    def _tell(self, found: Sequence[Found], now: datetime) -> None:
        for one in found:
            if one.said.assessment is Assessment.BREACHED:
                self._breached(one, now)
            elif one.said.assessment is Assessment.CLEAR:
                self._clear(one, now)
        known = {one.rule for one in found}
        for alarm in self._alarms.open_alarms():
            if kind_of(alarm.rule) in KINDS and alarm.rule not in known and alarm.state.active:
                self._alarms.end(alarm.rule, now, why="It is watched for no more.")

    def _clear(self, one: Found, now: datetime) -> None:
        """A small thing that is done, as the book tells, asks nobody to have seen its alarm."""
        alarm = self._alarms.of(one.rule)
        if alarm is None or not alarm.state.active:
            return
        if one.priority is Priority.LOW and not one.said.ran_out:
            self._alarms.acknowledge(alarm.id, by=BY_THE_BOOK, at=now)
        self._alarms.clear(one.rule, now)

    def _breached(self, one: Found, now: datetime) -> None:
        alarm = self._alarms.of(one.rule)
        if alarm is not None and alarm.state.active:
            if not _is_news(alarm, one):
                self._alarms.say(one.rule, one.said.text, value=one.said.value)
                return
            self._alarms.clear(one.rule, now)
        elif one.priority is Priority.LOW and not self._is_told(now):
            return
        because_of = one.said.because_of
        self._alarms.raise_(
            Raised(
                rule=one.rule,
                place=one.place,
                priority=one.priority,
                at=now,
                value=one.said.value,
                setpoint=one.said.setpoint,
                text=one.said.text,
                because_of=None if because_of is None else f"{because_of}:{one.place}",
            )
        )


def _is_news(alarm: Alarm, one: Found) -> bool:
    """It came to concern more since a person acknowledged it, and life hangs on it."""
    if one.priority is Priority.LOW or alarm.acknowledged_at is None:
        return False
    return one.said.newest is not None and one.said.newest > alarm.acknowledged_at
