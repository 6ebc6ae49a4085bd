"""Limits, followed reading by reading: from a judged reading to a raised or cleared alarm.

Holds, for every limit and every sensor it applies to, how far its delays have run. All by
event time.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta, tzinfo

from devices.reading import Quantity
from devices.sensor import Sensor
from service.alarm_path import AlarmPath, Raised
from service.alarms.wording import limit_text, past_text
from service.light_path import LightPath
from service.quality.flag import Flag, Judged
from service.rules.follow import Track, assess, changes, follow, in_force, next_deadline, starting
from service.rules.held_back import HeldBack, is_late
from service.rules.limit import RE_ALARM_AFTER, Limit, is_much_worse
from service.store.reading_store import Latest, ReadingStore

_GAPS_BEFORE = 3


@dataclass(frozen=True, slots=True)
class _Held:
    """``raised`` is held back; its breach began ``since``."""

    back: HeldBack
    raised: Raised
    since: datetime


class _Followed:
    """One limit on the readings of one sensor, as far as they have been followed."""

    def __init__(self, limit: Limit, sensor: Sensor, track: Track) -> None:
        self.limit = limit
        self.sensor = sensor
        self.track = track
        self.arrived_at: datetime | None = None
        self.held: _Held | None = None

    @property
    def max_gap(self) -> timedelta:
        return self.sensor.overdue_after

    @property
    def keeps_it_up(self) -> bool:
        """Whether it is breached as far as is known, and not by the past alone."""
        return self.track.active and self.held is None

    def next_deadline(self) -> datetime | None:
        if self.held is not None:
            return self.held.back.until
        return next_deadline(self.track, self.limit, self.max_gap)

    def is_late(self, at: datetime) -> bool:
        return self.arrived_at is not None and is_late(at, self.arrived_at, self.max_gap)

    def passed_over(self, newest_at: datetime, now: datetime) -> None:
        """Readings up to ``newest_at`` are stored and were followed once: they are history."""
        last_at = self.track.last_at
        if newest_at <= now and (last_at is None or last_at < newest_at):
            self.track = replace(self.track, last_at=newest_at)

    def reaches_back(self) -> timedelta:
        """How much of the past tells all that the track must know."""
        delay = max(self.limit.on_delay, self.limit.off_delay)
        return delay + _GAPS_BEFORE * self.max_gap


class LimitPath:
    """All limits of one shed."""

    def __init__(
        self,
        *,
        limits: Sequence[Limit],
        sensors: Sequence[Sensor],
        light: LightPath,
        place_names: Mapping[str, str],
        zone: tzinfo,
        alarms: AlarmPath,
        left_for_a_while: frozenset[str] = frozenset(),
    ) -> None:
        """``left_for_a_while`` are places whose sensor comes back: they are watched still."""
        self._left_for_a_while = left_for_a_while
        self._limits: dict[tuple[str, Quantity], list[Limit]] = defaultdict(list)
        for limit in limits:
            self._limits[limit.place, limit.quantity].append(limit)
        self._limit_ids = frozenset(limit.id for limit in limits)
        self._sensors = {sensor.device: sensor for sensor in sensors}
        self._light = light
        self._place_names = place_names
        self._zone = zone
        self._alarms = alarms
        self._followed: dict[str, dict[str, _Followed]] = defaultdict(dict)
        self._soonest: datetime | None = None

    def restore(self, store: ReadingStore, now: datetime) -> None:
        """Take up where the stored readings and the open alarms left off.

        Called at the start, and again when the clock was changed.
        """
        self._followed.clear()
        self._soonest = None
        self._light.restore(store, now)
        self._end_alarms_of_what_is_gone(now)
        for limit_id, latest in self._concerned(store).items():
            for limit, one in latest:
                followed = _Followed(
                    limit, self._sensors[one.series.device], self._taken_up(limit, one, latest)
                )
                self._followed[limit_id][one.series.device] = followed
                since = now - followed.reaches_back()
                for reading in store.window(one.series.id, since, now + timedelta(minutes=1)):
                    self._follow(followed, reading.measured_at, reading.value, reading.flag)
                followed.passed_over(one.measured_at, now)
                self._note(followed.next_deadline())
        self._reconcile(now)

    def _concerned(self, store: ReadingStore) -> dict[str, list[tuple[Limit, Latest]]]:
        """For each limit the newest readings of the sensors that it applies to."""
        found: dict[str, list[tuple[Limit, Latest]]] = defaultdict(list)
        for one in store.latest():
            # One that was moved tells nothing more of where it stood.
            sensor = self._sensors.get(one.series.device)
            if sensor is not None and sensor.place == one.series.place:
                for limit in self._limits.get((one.series.place, one.series.quantity), ()):
                    found[limit.id].append((limit, one))
        return found

    def _taken_up(
        self, limit: Limit, latest: Latest, members: Sequence[tuple[Limit, Latest]]
    ) -> Track:
        """An active alarm is the concern of the sensors that can have raised it.

        Who was silent long before it was raised has not; a sensor that fell silent since may
        have, and so keeps it up. Where none can have (it was moved, say) nobody knows, and
        it is the concern of all.
        """
        alarm = self._alarms.of(limit.id)
        if alarm is None or not alarm.state.active:
            return starting(False)

        def may_have_raised_it(one: Latest) -> bool:
            gap = self._sensors[one.series.device].overdue_after
            return one.measured_at >= alarm.raised_at - limit.on_delay - gap

        concerned = may_have_raised_it(latest) or not any(
            may_have_raised_it(one) for _, one in members
        )
        return starting(concerned, alarm.raised_at)

    def _reconcile(self, now: datetime) -> None:
        """Where the kept alarm and the stored readings disagree, the readings are right."""
        for limit_id, by_device in self._followed.items():
            active = [one for one in by_device.values() if one.track.active]
            for one in active:
                self._raise(one, one.track.raised_at or now, learned_at=now)
            cleared = [one.track.cleared_at for one in by_device.values() if one.track.cleared_at]
            if cleared and not active:
                self._alarms.clear(limit_id, max(cleared))

    def _end_alarms_of_what_is_gone(self, now: datetime) -> None:
        """Of a limit, or of the last sensor at its place, that the keeper took away.

        A sensor that is silent is still set up: its alarm stays. So does that of one which is
        away for a while.
        """
        watched = {sensor.place for sensor in self._sensors.values()} | self._left_for_a_while
        for alarm in self._alarms.open_alarms():
            if ":" in alarm.rule:
                continue
            if alarm.rule not in self._limit_ids:
                self._alarms.end(alarm.rule, now, why="This limit does not hold any more.")
            elif alarm.place not in watched:
                self._alarms.end(
                    alarm.rule,
                    now,
                    why="No sensor is set up there any more: nobody can tell whether it is over.",
                )

    def reading(self, judged: Judged) -> None:
        """Follow one reading. It must not be older than a day (see ``is_history``)."""
        reading, flag = judged.reading, judged.flag_for_rules
        if self._light.concerns(reading.place, reading.quantity):
            self._light.reading(reading.device, reading.measured_at, reading.value, flag)
        for limit in self._limits.get((reading.place, reading.quantity), ()):
            followed = self._followed_by(limit, reading.device)
            before = followed.track
            followed.arrived_at = reading.received_at
            self._follow(followed, reading.measured_at, reading.value, flag)
            self._tell(followed, before, reading.received_at)
            if followed.held is not None:
                self._go_on_holding(followed, reading.measured_at, reading.received_at)
            elif followed.track.active and flag is Flag.PASS:
                self._tell_if_much_worse(followed, reading.value, reading.measured_at)
            self._note(followed.next_deadline())

    def _tell_if_much_worse(self, followed: _Followed, value: float, at: datetime) -> None:
        alarm = self._alarms.of(followed.limit.id)
        if alarm is None or not is_much_worse(followed.limit, value, alarm.value):
            return
        raised = self._raised(followed, alarm.raised_at)
        if raised is not None:
            self._alarms.grew_much_worse(replace(raised, at=at))

    def next_deadline(self) -> datetime | None:
        """Not later than the next time at which a limit would be breached by time alone."""
        return self._soonest

    def tick(self, now: datetime) -> None:
        """Let the on-delays run to ``now``."""
        self._soonest = None
        for followed in self._all_followed():
            before = followed.track
            assessed = assess(before, followed.limit, now, followed.max_gap)
            followed.track = assessed.track
            self._tell(followed, before, now)
            if followed.held is not None and followed.held.back.until <= now:
                self._tell_what_was_held(followed, now)
            self._note(followed.next_deadline())

    def _follow(self, followed: _Followed, at: datetime, value: float, flag: Flag) -> None:
        followed.track = follow(
            followed.track,
            followed.limit,
            at=at,
            value=value,
            flag=flag,
            in_force=in_force(followed.limit, self._light.light(at)),
            max_gap=followed.max_gap,
        )

    def _followed_by(self, limit: Limit, device: str) -> _Followed:
        by_device = self._followed[limit.id]
        if device not in by_device:
            # The first sensor of this limit takes an alarm over that another one left behind.
            active = not by_device and self._alarms.is_active(limit.id)
            by_device[device] = _Followed(limit, self._sensors[device], starting(active))
        return by_device[device]

    def _all_followed(self) -> Iterator[_Followed]:
        for by_device in self._followed.values():
            yield from by_device.values()

    def _tell(self, followed: _Followed, before: Track, now: datetime) -> None:
        # A deadline in a past that has only just been learned of comes long after its time.
        now = max(now, followed.arrived_at or now)
        for change in changes(before, followed.track):
            if change.active and followed.is_late(change.at):
                raised = self._raised(followed, change.at)
                if raised is not None:
                    lag = now - (followed.track.last_at or change.at)
                    since = followed.track.breached_since or change.at
                    followed.held = _Held(HeldBack(now, lag), raised, since)
            elif change.active:
                self._raise(followed, change.at)
            elif followed.held is not None:
                self._tell_past(followed, change.at, now)
            elif not any(one.keeps_it_up for one in self._followed[followed.limit.id].values()):
                self._alarms.clear(followed.limit.id, change.at)

    def _go_on_holding(self, followed: _Followed, at: datetime, now: datetime) -> None:
        if followed.held is None:
            return
        if is_late(at, now, followed.max_gap):
            followed.held = replace(followed.held, back=followed.held.back.after(at, now))
        else:
            self._tell_what_was_held(followed, now)

    def _tell_what_was_held(self, followed: _Followed, now: datetime) -> None:
        """It is the present: raised as of when it began."""
        if followed.held is not None and followed.track.active:
            self._alarms.raise_(replace(followed.held.raised, learned_at=now))
        followed.held = None

    def _tell_past(self, followed: _Followed, cleared_at: datetime, now: datetime) -> None:
        """What was held back is over: it is told once, as the past."""
        if followed.held is None:
            return
        raised, since, followed.held = followed.held.raised, followed.held.since, None
        text = past_text(
            followed.limit,
            place_name=self._place_names.get(raised.place, raised.place),
            value=raised.value,
            since=since,
            until=cleared_at,
            now=now,
            zone=self._zone,
        )
        self._alarms.tell_past(replace(raised, text=text), cleared_at=cleared_at, now=now)

    def _raise(
        self, followed: _Followed, at: datetime, *, learned_at: datetime | None = None
    ) -> None:
        raised = self._raised(followed, at)
        if raised is not None:
            followed.held = None
            self._alarms.raise_(replace(raised, learned_at=learned_at))

    def _raised(self, followed: _Followed, at: datetime) -> Raised | None:
        limit = followed.limit
        value = followed.track.last_value
        if value is None:
            return None  # no reading, no breach
        since = followed.track.breached_since or at
        return Raised(
            rule=limit.id,
            place=limit.place,
            kind=f"{limit.quantity} {'low' if limit.low is not None else 'high'}",
            priority=limit.priority,
            at=at,
            value=value,
            setpoint=limit.setpoint,
            latching=limit.latching,
            re_alarm_after=RE_ALARM_AFTER.get(limit.priority),
            text=limit_text(
                limit,
                place_name=self._place_names.get(limit.place, limit.place),
                value=value,
                since=since,
                zone=self._zone,
            ),
        )

    def _note(self, deadline: datetime | None) -> None:
        if deadline is not None and (self._soonest is None or deadline < self._soonest):
            self._soonest = deadline
