"""From an assessment to an alarm: raised, cleared, acknowledged, suppressed, and kept.

The open alarms live in memory and in the store. What the store would not take is kept and
tried again at the next ``save``; after a crash the rules are assessed again from the stored
readings, so that an alarm may come late by a restart and never not at all.

Whatever is suppressed is followed on: only its voice is taken, and what is active when a shelf
ends or a cause is over speaks anew.
"""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from uuid import uuid4

from service.alarms.alarm import Alarm, AlarmState
from service.alarms.journal import Happened, JournalLine
from service.alarms.lies_over import Over, lies_over
from service.alarms.shelf_wish import ShelfWish
from service.alarms.state_machine import (
    acknowledge,
    on_clear,
    on_raise,
    on_re_alarm,
    on_return_of_another,
    on_suppress,
    on_unsuppress,
    re_alarm_due,
    reset,
)
from service.alarms.suppression import (
    LONGEST_SHELF,
    Suppression,
    SuppressionKind,
    longest_shelf,
)
from service.errors import InputError, NotKnownError, StoreUnavailableError
from service.rules.limit import Priority, is_more_urgent
from service.rules.rationales import RATIONALES, kind_of
from service.store.alarm_store import AlarmStore

_LONGEST_EXCURSION = timedelta(days=7)
_CLOCKS_MAY_DIFFER_BY = timedelta(minutes=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Raised:
    """What a rule found, before it is an alarm.

    ``kind`` is what it is about, for ``service/alarms/causes.py``; left empty it is what stands
    before the colon of ``rule``. ``because_of`` names the rule that is the cause, where the
    path knows it: while that one is active and told, this one is suppressed by design.
    ``learned_at`` is when a breach that began at ``at`` became known, where that was later.
    """

    rule: str
    place: str
    priority: Priority
    at: datetime
    value: float
    setpoint: float
    text: str
    kind: str = ""
    because_of: str | None = None
    latching: bool = False
    re_alarm_after: timedelta | None = None
    learned_at: datetime | None = None


class AlarmPath:
    """The open alarms of one shed, one for each rule at most."""

    def __init__(
        self,
        store: AlarmStore,
        *,
        settled: bool = True,
        around: Mapping[str, str | None] | None = None,
        priorities: Mapping[str, Priority] | None = None,
    ) -> None:
        """``settled`` is False while the configuration is at fault: what it lacks is then
        perhaps not meant to be gone, and no alarm ends for it.

        ``around`` gives for each place the one it stands in, ``priorities`` that of each limit.
        """
        self._store = store
        self._settled = settled
        self._around = around or {}
        self._priorities = priorities or {}
        self._open = {alarm.rule: alarm for alarm in store.open_alarms()}
        self._wishes = {one.rule: one for one in store.suppressions()}
        self._asleep: dict[str, str] = {}
        self._waits = 0
        self._unsaved: dict[str, Alarm] = {}
        self._lines: list[JournalLine] = []
        self._new_wishes: dict[str, Suppression | None] = {}
        self._soonest: datetime | None = None
        self._find_soonest()

    def open_alarms(self) -> Sequence[Alarm]:
        """Alarms that are not back to normal."""
        return tuple(self._open.values())

    def of(self, rule: str) -> Alarm | None:
        """The open alarm of a rule, if there is one."""
        return self._open.get(rule)

    def is_active(self, rule: str) -> bool:
        """Whether the rule's condition is, as far as we know, true."""
        alarm = self._open.get(rule)
        return alarm is not None and alarm.state.active

    @contextmanager
    def at_once(self, at: datetime) -> Iterator[None]:
        """What is raised and cleared inside is weighed together at the end: which of it is the
        cause of which. So an effect that is raised before its cause is not told in between.
        """
        self._waits += 1
        try:
            yield
        finally:
            self._waits -= 1
            self._weigh(at)

    def raise_(self, raised: Raised) -> None:
        """The condition is true. Where that is known already, what was set anew since holds."""
        alarm = self._open.get(raised.rule)
        if alarm is not None and alarm.state.active:
            self._bring_up_to_date(alarm, raised)
            return
        if alarm is not None:
            self._keep(alarm, on_return_of_another(alarm))
        new = _not_yet(raised)
        self._keep(new, on_raise(new))
        self._note(raised.rule, Happened.RAISED, raised.at, alarm=new)
        self._weigh(raised.learned_at or raised.at)

    def _bring_up_to_date(self, alarm: Alarm, raised: Raised) -> None:
        """The rule was set anew meanwhile, or weighs more by now: as such it has to be seen.

        Its number and its words follow where the limit itself was moved.
        """
        as_set = replace(
            alarm,
            kind=_not_yet(raised).kind,
            priority=raised.priority,
            latching=raised.latching,
            re_alarm_after=raised.re_alarm_after,
        )
        if kind_of(alarm.rule) is None and alarm.setpoint != raised.setpoint:
            as_set = replace(as_set, setpoint=raised.setpoint, value=raised.value, text=raised.text)
        if as_set == alarm:
            return
        at = raised.learned_at or raised.at
        if is_more_urgent(raised.priority, alarm.priority):
            as_set = on_re_alarm(as_set)
            self._note(alarm.rule, Happened.RE_ALARMED, at, alarm=alarm, note="more urgent now")
            self._shorten_shelf(alarm.rule, raised.priority)
        self._keep(alarm, as_set)
        self._weigh(at)

    def grew_much_worse(self, raised: Raised) -> None:
        """What somebody acknowledged or shelved is no longer what it was: it speaks anew.

        Nothing happens where it speaks already, or where a cause or maintenance keeps it silent.
        """
        alarm, wish = self._open.get(raised.rule), self._wishes.get(raised.rule)
        shelved = wish is not None and wish.kind is SuppressionKind.SHELVED
        if alarm is None or not (shelved or alarm.state is AlarmState.ACKNOWLEDGED):
            return
        if wish is not None:
            if not shelved:
                return
            self._lift(wish, raised.at, by=None, note="it grew much worse")
        worse = on_re_alarm(replace(alarm, value=raised.value, text=raised.text))
        self._note(raised.rule, Happened.RE_ALARMED, raised.at, alarm=alarm, note="much worse now")
        self._keep(alarm, worse)
        self._weigh(raised.at)

    def _shorten_shelf(self, rule: str, priority: Priority) -> None:
        """What it may be by its maximum now; what is over by that ends at the next tick."""
        wish = self._wishes.get(rule)
        if wish is None or wish.kind is not SuppressionKind.SHELVED or wish.until is None:
            return
        latest = wish.since + LONGEST_SHELF[priority]
        if wish.until > latest:
            self._wishes[rule] = self._new_wishes[rule] = replace(wish, until=latest)

    def clear(self, rule: str, at: datetime, *, text: str | None = None) -> None:
        """The condition was seen to be false. ``text`` replaces the alarm's words."""
        alarm = self._open.get(rule)
        if alarm is None or not alarm.state.active:
            return
        self._keep(alarm, on_clear(replace(alarm, text=text or alarm.text), at))
        self._note(rule, Happened.CLEARED, at, alarm=alarm)
        wish = self._wishes.get(rule)
        if wish is not None and wish.one_shot:
            self._lift(wish, at, by=None, note="its condition is over")
        self._weigh(at)

    def say(self, rule: str, text: str, *, value: float | None = None) -> None:
        """Change the words of an open alarm: it has come to concern more, or less, than it did."""
        alarm = self._open.get(rule)
        if alarm is not None:
            told = alarm.value if value is None else value
            self._keep(alarm, replace(alarm, text=text, value=told))

    def put_down_to(self, rule: str, cause: str, at: datetime) -> None:
        """An alarm that was raised before it was known that ``cause`` is behind it."""
        alarm = self._open.get(rule)
        if alarm is not None and alarm.because_of != cause:
            self._keep(alarm, replace(alarm, because_of=cause))
            self._weigh(at)

    def tell_past(self, raised: Raised, *, cleared_at: datetime, now: datetime) -> None:
        """What came and went while nobody heard of it, learned ``now``: told once.

        It was never active for anybody: it waits to be acknowledged, as over. Nothing happens
        where the same is known already, by another sensor for example.
        """
        if self._is_known(raised, cleared_at):
            return
        over = replace(_not_yet(raised), cleared_at=cleared_at)
        if self._speaks_not(raised.rule) or self.is_active(raised.rule):
            self._unsaved[over.id] = over
        else:
            earlier = self._open.get(raised.rule)
            if earlier is not None:
                self._keep(earlier, on_return_of_another(earlier))
            told = replace(over, state=AlarmState.RETURNED_UNACKNOWLEDGED, told_at=now)
            self._keep(over, told)
        self._note(raised.rule, Happened.TOLD_LATE, now, alarm=over)

    def end(self, rule: str, at: datetime, *, why: str) -> None:
        """The keeper set up no more what the alarm was about; ``why`` says so in the alarm."""
        alarm = self._open.get(rule)
        if self._settled and alarm is not None:
            self.clear(rule, at, text=f"{alarm.text} {why}")

    def put_to_sleep(self, rule: str, at: datetime, *, why: str) -> None:
        """Suppress a rule by design while it makes no sense: the birds rest, the box is empty.

        To be said anew after each start, before the alarms are weighed.
        """
        if self._asleep.get(rule) != why:
            self._asleep[rule] = why
            self._weigh(at)

    def wake(self, rule: str, at: datetime) -> None:
        """It makes sense again: what is active speaks."""
        if self._asleep.pop(rule, None) is not None:
            self._weigh(at)

    def acknowledge(self, alarm_id: str, *, by: str | None, at: datetime) -> None:
        """A person has seen it.

        Raises:
            NotKnownError: no open alarm has this id.
        """
        alarm = self._with_id(alarm_id)
        seen = acknowledge(alarm, by=by, at=at)
        if seen != alarm:
            self._keep(alarm, seen)
            self._note(alarm.rule, Happened.ACKNOWLEDGED, at, alarm=alarm, by=by)
            self._find_soonest()

    def reset(self, alarm_id: str, *, by: str | None, at: datetime) -> None:
        """A person lets a latched alarm go.

        Raises:
            NotKnownError: no open alarm has this id.
            InputError: it is not latched.
        """
        alarm = self._with_id(alarm_id)
        if not alarm.state.latched:
            raise InputError("Only an alarm that is over, and stays until it is reset, can be.")
        self._keep(alarm, reset(alarm))
        self._note(alarm.rule, Happened.RESET, at, alarm=alarm, by=by)

    def shelve(self, rule: str, wish: ShelfWish, *, by: str | None, at: datetime) -> Suppression:
        """A person wants to be told nothing of a rule for a while.

        Raises:
            NotKnownError: there is no such rule.
            InputError: no reason, no end, or one too far away.
        """
        priority = self._priority_of(rule)
        try:
            span = longest_shelf(priority, one_shot=wish.one_shot, asked=wish.span)
        except ValueError as error:
            raise InputError(f"{str(error)[0].upper()}{str(error)[1:]}.") from error
        return self._suppress(
            Suppression(
                rule=rule,
                kind=SuppressionKind.SHELVED,
                since=at,
                until=at + span,
                reason=wish.tidy_reason,
                by=by,
                one_shot=wish.one_shot,
            ),
            Happened.SHELVED,
        )

    def take_out_of_service(
        self, rule: str, wish: ShelfWish, *, by: str | None, at: datetime
    ) -> Suppression:
        """A person maintains what the rule is about, until it is put back or the time is over.

        Raises:
            NotKnownError: there is no such rule.
            InputError: no reason.
        """
        self._priority_of(rule)
        return self._suppress(
            Suppression(
                rule=rule,
                kind=SuppressionKind.OUT_OF_SERVICE,
                since=at,
                until=None if wish.span is None else at + wish.span,
                reason=wish.tidy_reason,
                by=by,
            ),
            Happened.OUT_OF_SERVICE,
        )

    def put_back(self, rule: str, *, by: str | None, at: datetime) -> None:
        """Take a rule off the shelf, or back into service.

        Raises:
            NotKnownError: it is neither shelved nor out of service.
        """
        wish = self._wishes.get(rule)
        if wish is None:
            raise NotKnownError(f"{rule} is neither shelved nor out of service")
        self._lift(wish, at, by=by)
        self._weigh(at)

    def restore(self, now: datetime) -> None:
        """At a start, and when the clock was changed: what lies ahead of ``now`` was told by a
        clock that was wrong. A shelf lasts no longer for it, and a danger is seen again.
        """
        latest = now + _CLOCKS_MAY_DIFFER_BY
        for wish in tuple(self._wishes.values()):
            if wish.since > latest and wish.until is not None:
                moved = replace(wish, since=now, until=now + (wish.until - wish.since))
                self._wishes[wish.rule] = self._new_wishes[wish.rule] = moved
        for alarm in tuple(self._open.values()):
            if alarm.acknowledged_at is None or alarm.acknowledged_at <= latest:
                continue
            if re_alarm_due(alarm) is not None:
                self._keep(alarm, on_re_alarm(alarm))
                self._note(alarm.rule, Happened.RE_ALARMED, now, alarm=alarm)
        self._weigh(now)

    def suppressions(self) -> Sequence[Suppression]:
        """What persons have shelved or taken out of service."""
        return tuple(self._wishes.values())

    def next_deadline(self) -> datetime | None:
        """The next time at which a shelf ends, or an alarm is to be seen again."""
        return self._soonest

    def tick(self, now: datetime) -> None:
        """Let shelves end and re-alarm times pass, each at its own time, up to ``now``."""
        if self._soonest is None or self._soonest > now:
            return
        for wish in tuple(self._wishes.values()):
            if wish.until is not None and wish.until <= now:
                self._lift(wish, wish.until, by=None, note="its time was over")
                self._weigh(wish.until)
        for alarm in tuple(self._open.values()):
            due = re_alarm_due(alarm)
            if due is not None and due <= now:
                self._keep(alarm, on_re_alarm(alarm))
                self._note(alarm.rule, Happened.RE_ALARMED, due, alarm=alarm)
        self._find_soonest()

    def save(self) -> None:
        """Write what has changed, all in one transaction.

        Raises:
            StoreUnavailableError: nothing was written; the changes are kept for next time.
        """
        if not (self._unsaved or self._lines or self._new_wishes):
            return
        self._store.put(
            tuple(self._unsaved.values()),
            lines=tuple(self._lines),
            suppressions=[wish for wish in self._new_wishes.values() if wish is not None],
            lifted=[rule for rule, wish in self._new_wishes.items() if wish is None],
        )
        self._unsaved.clear()
        self._lines.clear()
        self._new_wishes.clear()

    def _weigh(self, at: datetime) -> None:
        """See what lies over each open alarm now."""
        if self._waits:
            return
        over = lies_over(self.open_alarms(), self._wishes, self._asleep, self._around)
        for alarm in self.open_alarms():
            self._lay(alarm, over.get(alarm.id), at)
        self._find_soonest()

    def _lay(self, alarm: Alarm, over: Over | None, at: datetime) -> None:
        by_design = SuppressionKind.BY_DESIGN
        if over is None:
            if alarm.suppressed is by_design:
                self._note(alarm.rule, Happened.UNSUPPRESSED, at, alarm=alarm)
            free = on_unsuppress(alarm, at)
            self._keep(alarm, replace(free, told_at=free.told_at or at) if free.told else free)
        elif not over.is_over(alarm):
            if over.kind is by_design:
                self._note(alarm.rule, Happened.SUPPRESSED, at, alarm=alarm, note=over.why)
            self._keep(alarm, on_suppress(alarm, over.kind, until=over.until, why=over.why))

    def _suppress(self, wish: Suppression, happened: Happened) -> Suppression:
        before = self._wishes.get(wish.rule)
        if before is not None and before.kind is not wish.kind:
            raise InputError(f"{wish.rule} is {before.kind.value}: put it back first.")
        self._wishes[wish.rule] = self._new_wishes[wish.rule] = wish
        self._note(wish.rule, happened, wish.since, by=wish.by, note=wish.reason)
        self._weigh(wish.since)
        return wish

    def _lift(self, wish: Suppression, at: datetime, *, by: str | None, note: str = "") -> None:
        del self._wishes[wish.rule]
        self._new_wishes[wish.rule] = None
        shelved = wish.kind is SuppressionKind.SHELVED
        happened = Happened.UNSHELVED if shelved else Happened.INTO_SERVICE
        self._note(wish.rule, happened, at, by=by, note=note)

    def _speaks_not(self, rule: str) -> bool:
        return rule in self._wishes or rule in self._asleep

    def _is_known(self, raised: Raised, cleared_at: datetime) -> bool:
        """Whether an alarm of the rule covers any of the time; no where the store can't tell."""
        kept: Sequence[Alarm] = ()
        with suppress(StoreUnavailableError):  # told twice is better than never
            kept = self._store.alarms(raised.at - _LONGEST_EXCURSION, cleared_at)
        known = (*kept, *self._unsaved.values())
        return any(
            one.rule == raised.rule
            and one.raised_at <= cleared_at
            and (one.cleared_at is None or one.cleared_at >= raised.at)
            for one in known
        )

    def _priority_of(self, rule: str) -> Priority:
        if rule in self._priorities:
            return self._priorities[rule]
        if rule in self._open:
            return self._open[rule].priority
        known = RATIONALES.get(kind_of(rule) or "")
        if known is not None:
            return known.priority
        raise NotKnownError(f"there is no rule {rule}")

    def _with_id(self, alarm_id: str) -> Alarm:
        for alarm in self._open.values():
            if alarm.id == alarm_id:
                return alarm
        raise NotKnownError(f"no open alarm {alarm_id}")

    def _find_soonest(self) -> None:
        ends = [one.until for one in self._wishes.values()]
        again = [re_alarm_due(alarm) for alarm in self._open.values()]
        self._soonest = min((at for at in (*ends, *again) if at is not None), default=None)

    def _note(
        self,
        rule: str,
        happened: Happened,
        at: datetime,
        *,
        alarm: Alarm | None = None,
        by: str | None = None,
        note: str = "",
    ) -> None:
        known = alarm or self._open.get(rule)
        self._lines.append(
            JournalLine(
                at=at,
                rule=rule,
                happened=happened,
                alarm_id=None if known is None else known.id,
                by=by,
                note=note,
            )
        )

    def _keep(self, before: Alarm, after: Alarm) -> None:
        if after == before:
            return
        self._unsaved[after.id] = after
        if after.state is AlarmState.NORMAL:
            self._open.pop(after.rule, None)
        else:
            self._open[after.rule] = after


def _not_yet(raised: Raised) -> Alarm:
    return Alarm(
        id=uuid4().hex,
        rule=raised.rule,
        place=raised.place,
        priority=raised.priority,
        state=AlarmState.NORMAL,
        raised_at=raised.at,
        value=raised.value,
        setpoint=raised.setpoint,
        text=raised.text,
        kind=raised.kind or kind_of(raised.rule) or "",
        because_of=raised.because_of,
        latching=raised.latching,
        re_alarm_after=raised.re_alarm_after,
    )
