"""What rules reckon from readings, followed as a limit follows a sensor's own values.

A signal is one number by time: how far the coldest surface is from the dew point, how fast it
falls. Each rule has one limit for it, and each sensor that tells it is a member with a track of
its own: one that is breached keeps the alarm up, and all of them have to be clear to end it.

What arrives late tells of the past: it is held back as that of a limit is
(``service/rules/held_back.py``), and told once where it was over by then.
"""

from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from service.alarm_path import AlarmPath, Raised
from service.newest import Newest
from service.rules.follow import (
    Standing,
    Track,
    assess,
    changes,
    follow,
    is_past,
    next_deadline,
    starting,
)
from service.rules.held_back import HeldBack, is_late
from service.rules.limit import RE_ALARM_AFTER, Limit, Priority

Words = Callable[[float, datetime], str]
"""What an alarm says, from the value and since when it has been breached."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Signal:
    """One rule on one signal. ``words`` are asked when it is breached.

    ``weighs`` is asked then too, by since when it has been; None: it weighs what its limit does.
    """

    limit: Limit
    words: Words
    weighs: Callable[[datetime], Priority] | None = None


@dataclass(frozen=True, slots=True)
class _Held:
    back: HeldBack
    raised: Raised


@dataclass(slots=True)
class _Member:
    signal: Signal
    max_gap: timedelta
    track: Track
    held: _Held | None = None
    arrived_at: datetime | None = None
    quiet_at: datetime | None = None
    """What is no newer changes nothing: nothing was breached up to then, or it is history."""

    @property
    def is_idle(self) -> bool:
        """Whether a clear value would change nothing."""
        return not self.track.active and self.track.standing is not Standing.BREACH

    @property
    def keeps_it_up(self) -> bool:
        """Whether it is breached as far as is known, and not by the past alone."""
        return self.track.active and self.held is None

    def next_deadline(self) -> datetime | None:
        if self.held is not None:
            return self.held.back.until
        return next_deadline(self.track, self.signal.limit, self.max_gap)


class FollowedSignals:
    """All signals of one path."""

    def __init__(self, alarms: AlarmPath, *, tells_past: bool = True) -> None:
        """``tells_past`` False: what was over before it was learned of is of no use to anybody."""
        self._alarms = alarms
        self._tells_past = tells_past
        self._members: dict[str, dict[str, _Member]] = {}
        self._quiet = False
        self._soonest: datetime | None = None

    def forget(self) -> None:
        """As made: nothing was heard."""
        self._members.clear()
        self._soonest = None

    def expect(self, signal: Signal, member: str, max_gap: timedelta) -> None:
        """A member that may have raised what is active: it has to be clear to end it."""
        self._member(signal, member, max_gap)

    def passed_over(self, rule: str, member: str, newest_at: datetime) -> None:
        """What was measured up to ``newest_at`` was followed once: it is history."""
        one = self._members.get(rule, {}).get(member)
        if one is not None and (one.quiet_at is None or one.quiet_at < newest_at):
            one.quiet_at = newest_at

    def follow(self, signal: Signal, member: str, told: Newest, *, in_force: bool = True) -> None:
        """Follow one value. One that is no newer than the last changes nothing.

        Not ``in_force`` the rule asks nothing at this time, which counts as clear.
        """
        one = self._member(signal, member, told.max_gap)
        if one.is_idle and not (in_force and is_past(signal.limit, told.value)):
            # Nearly all readings: nothing was wrong, and nothing is.
            if one.quiet_at is None or told.at > one.quiet_at:
                one.quiet_at = told.at
            return
        if one.quiet_at is not None and told.at <= one.quiet_at:
            return
        before = one.track
        one.track = follow(
            before,
            signal.limit,
            at=told.at,
            value=told.value,
            flag=told.flag,
            in_force=in_force,
            max_gap=told.max_gap,
        )
        if self._quiet:
            return
        one.arrived_at = told.received_at
        self._tell(one, before, told.received_at)
        if one.held is not None:
            self._go_on_holding(one, told.at, told.received_at)
        self._note(one.next_deadline())

    def is_active(self, rule: str, member: str | None = None) -> bool:
        """Whether this member (None: any) finds the rule breached."""
        members = self._members.get(rule, {})
        if member is None:
            return any(one.track.active for one in members.values())
        return member in members and members[member].track.active

    def is_idle(self, rule: str, member: str) -> bool:
        """Whether a clear value of this member would change nothing."""
        one = self._members.get(rule, {}).get(member)
        if one is None:
            return not self._alarms.is_active(rule)
        return one.is_idle

    def are_idle(self, rule: str) -> bool:
        """Whether clear values of all members would change nothing."""
        return not self._alarms.is_active(rule) and all(
            one.is_idle for one in self._members.get(rule, {}).values()
        )

    def let_go(self, rule: str, member: str, at: datetime) -> None:
        """This member is over, by something that it can't see itself, and begins anew."""
        one = self._members.get(rule, {}).get(member)
        if one is None:
            return
        before, one.track = one.track, Track(cleared_at=at if one.track.active else None)
        if not self._quiet:
            self._tell(one, before, at)

    def let_go_of_all(self, rule: str, at: datetime) -> None:
        """All members are over, by something that they can't see themselves."""
        for member in self._members.get(rule, {}):
            self.let_go(rule, member, at)

    @contextmanager
    def taking_up(self, now: datetime) -> Iterator[None]:
        """Follow stored readings in here: only what came of them in the end is told."""
        self._quiet = True
        try:
            yield
        finally:
            self._quiet = False
        self._reconcile(now)

    def end_what_is_gone(
        self, kinds: Collection[str], rules: Collection[str], now: datetime
    ) -> None:
        """End open alarms of some kinds whose rule is not among ``rules``.

        A rule that was switched off, or whose sensors were taken away, tells nothing any more.
        """
        for alarm in self._alarms.open_alarms():
            kind, colon, _ = alarm.rule.partition(":")
            if colon and kind in kinds and alarm.rule not in rules:
                self._alarms.end(
                    alarm.rule, now, why="This rule is switched off, or lacks what it goes by."
                )

    def next_deadline(self) -> datetime | None:
        """Not later than the next time at which something would be raised by time alone."""
        return self._soonest

    def tick(self, now: datetime) -> None:
        """Let the on-delays run to ``now``."""
        if self._soonest is None or self._soonest > now:
            return
        self._soonest = None
        for members in self._members.values():
            for one in members.values():
                before = one.track
                one.track = assess(before, one.signal.limit, now, one.max_gap).track
                self._tell(one, before, now)
                if one.held is not None and one.held.back.until <= now:
                    self._tell_what_was_held(one, now)
                self._note(one.next_deadline())

    def _member(self, signal: Signal, member: str, max_gap: timedelta) -> _Member:
        members = self._members.setdefault(signal.limit.id, {})
        one = members.get(member)
        if one is None:
            alarm = self._alarms.of(signal.limit.id)
            # Later ones can't have raised what was active before them.
            active = alarm is not None and alarm.state.active and (self._quiet or not members)
            track = starting(active, alarm.raised_at if alarm is not None else None)
            one = members[member] = _Member(signal, max_gap, track)
        one.max_gap = max_gap
        return one

    def _tell(self, one: _Member, before: Track, now: datetime) -> None:
        # A deadline in a past that has only just been learned of comes long after its time.
        now = max(now, one.arrived_at or now)
        for change in changes(before, one.track):
            if not change.active:
                self._over(one, change.at, now)
            elif is_late(change.at, now, one.max_gap):
                lag = now - (one.track.last_at or change.at)
                one.held = _Held(HeldBack(now, lag), _raised(one, change.at))
            else:
                self._alarms.raise_(_raised(one, change.at))

    def _go_on_holding(self, one: _Member, at: datetime, now: datetime) -> None:
        if one.held is not None and is_late(at, now, one.max_gap):
            one.held = replace(one.held, back=one.held.back.after(at, now))
        else:
            self._tell_what_was_held(one, now)

    def _tell_what_was_held(self, one: _Member, now: datetime) -> None:
        """It is the present: raised as of when it began."""
        held, one.held = one.held, None
        if held is not None and one.track.active:
            self._alarms.raise_(replace(held.raised, learned_at=now))

    def _over(self, one: _Member, at: datetime, now: datetime) -> None:
        held, one.held = one.held, None
        if held is not None and not self._tells_past:
            return
        if held is not None:
            text = f"While nobody listened: {held.raised.text} It is over by now."
            self._alarms.tell_past(replace(held.raised, text=text), cleared_at=at, now=now)
        elif not any(each.keeps_it_up for each in self._members[one.signal.limit.id].values()):
            self._alarms.clear(one.signal.limit.id, at)

    def _reconcile(self, now: datetime) -> None:
        """Where the kept alarm and the stored readings disagree, the readings are right."""
        for rule, members in self._members.items():
            active = [one for one in members.values() if one.track.active]
            for one in active:
                if one.track.last_value is not None:
                    self._alarms.raise_(self._as_it_weighed(one, now))
            ended = [one.track.cleared_at for one in members.values() if one.track.cleared_at]
            if ended and not active:
                self._alarms.clear(rule, max(ended))
            for one in members.values():
                self._note(one.next_deadline())

    def _as_it_weighed(self, one: _Member, now: datetime) -> Raised:
        """Since when it was breached is not remembered over a start; what it weighed then is."""
        raised = replace(_raised(one, one.track.raised_at or now), learned_at=now)
        alarm = self._alarms.of(raised.rule)
        if one.signal.weighs is None or alarm is None or not alarm.state.active:
            return raised
        again = RE_ALARM_AFTER.get(alarm.priority)
        return replace(raised, priority=alarm.priority, re_alarm_after=again)

    def _note(self, deadline: datetime | None) -> None:
        if deadline is not None and (self._soonest is None or deadline < self._soonest):
            self._soonest = deadline


def _raised(one: _Member, at: datetime) -> Raised:
    limit, value = one.signal.limit, one.track.last_value
    value = limit.setpoint if value is None else value
    since = one.track.breached_since or at
    weighs = one.signal.weighs
    priority = limit.priority if weighs is None else weighs(since)
    return Raised(
        rule=limit.id,
        place=limit.place,
        priority=priority,
        at=at,
        value=value,
        setpoint=limit.setpoint,
        text=one.signal.words(value, since),
        re_alarm_after=RE_ALARM_AFTER.get(priority),
    )
