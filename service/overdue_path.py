"""Silence, found by stored deadlines: a sensor that should have been heard raises an alarm.

Each sensor has one deadline, kept in the store: its last sign of life and the time it may be
silent. An overdue sensor's alarm clears nothing but itself, and only a new sign of life
clears it.

Where no sensor of a shed, or of a flight by itself, is heard for a while, nobody watches the birds
in it: then the alarm that tells of the silence is urgent.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta, tzinfo

from devices.sensor import Sensor
from service.alarm_path import AlarmPath, Raised
from service.alarms.alarm import Alarm
from service.alarms.rule_words import is_silence
from service.alarms.suppression import SuppressionKind
from service.alarms.wording import overdue_text, unwatched_text
from service.overdue_together_path import OverdueTogetherPath, outermost
from service.rules.limit import RE_ALARM_AFTER, Priority
from service.rules.unwatched import UNWATCHED_FOR
from service.store.reading_store import Heard

NEVER = datetime(1970, 1, 1, tzinfo=UTC)
"""``Heard.at`` of a sensor that has not been heard since it was set up."""

RULE_PREFIX = "overdue:"


def deadlines_after_a_change(
    stored: Sequence[Heard], before: Sequence[Sensor], after: Sequence[Sensor], now: datetime
) -> tuple[Heard, ...]:
    """The deadlines that other terms of the sensors move, while somebody listened all along.

    A silence goes on: its deadline moves by as much as the time that the sensor may be silent
    was changed. One that was not set up until now begins now, whenever it was heard before.
    """
    known = {heard.device: heard for heard in stored}
    allowed = {sensor.device: sensor.overdue_after for sensor in before}
    moved = []
    for sensor in after:
        heard = known.get(sensor.device)
        if heard is None:
            continue
        if sensor.device in allowed:
            longer = sensor.overdue_after - allowed[sensor.device]
            changed = replace(heard, deadline=heard.deadline + longer)
        else:
            changed = replace(heard, deadline=now + sensor.overdue_after)
        if changed != heard:
            moved.append(changed)
    return tuple(moved)


class OverduePath:
    """The deadlines of all configured sensors."""

    def __init__(
        self,
        sensors: Sequence[Sensor],
        place_names: Mapping[str, str],
        zone: tzinfo,
        alarms: AlarmPath,
        around: Mapping[str, str | None] | None = None,
        *,
        homes: Collection[str] = (),
    ) -> None:
        """``around`` gives for each place the one it stands in; ``homes`` are sheds and flights."""
        self._sensors = {sensor.device: sensor for sensor in sensors}
        self._together = OverdueTogetherPath(self._sensors, place_names, around or {}, zone, alarms)
        self._place_names = place_names
        self._zone = zone
        self._alarms = alarms
        self._heard: dict[str, Heard] = {}
        self._soonest: datetime | None = None
        self._homes: dict[str, list[str]] = {}
        for sensor in sensors:
            home = outermost(sensor.place, around or {})
            if home in homes:
                self._homes.setdefault(home, []).append(sensor.device)

    def restore(
        self, stored: Sequence[Heard], now: datetime, *, forgiving: bool
    ) -> Sequence[Heard]:
        """Take up the stored deadlines at the start; return those that were moved.

        While nobody listened no sensor could be heard. So, ``forgiving``, a deadline that has
        passed is moved once to ``now`` and the time the sensor may be silent; a second
        restart without a word from it moves nothing. A recording is as if somebody had
        listened all the time: there nothing is forgiven.
        """
        self._drop_alarms_without_a_sensor(now)
        known = {heard.device: heard for heard in stored}
        moved = []
        for sensor in self._sensors.values():
            heard = self._taken_up(sensor, known.get(sensor.device), now, forgiving)
            self._heard[sensor.device] = heard
            if heard != known.get(sensor.device):
                moved.append(heard)
        self._together.restore(now, self._overdue())
        self._find_soonest()
        return tuple(moved)

    def _drop_alarms_without_a_sensor(self, now: datetime) -> None:
        for alarm in self._alarms.open_alarms():
            device = alarm.rule.removeprefix(RULE_PREFIX)
            if device != alarm.rule and device not in self._sensors:
                self._alarms.end(alarm.rule, now, why="This sensor is set up no more.")

    def _taken_up(
        self, sensor: Sensor, heard: Heard | None, now: datetime, forgiving: bool
    ) -> Heard:
        latest = now + sensor.overdue_after
        if heard is None:
            return Heard(device=sensor.device, at=NEVER, deadline=latest)
        if forgiving and self._deserves_grace(heard, sensor, now):
            return replace(heard, deadline=latest)
        if heard.deadline > latest:
            # The clock went back meanwhile: a deadline out of reach would hide a silence.
            return replace(heard, at=min(heard.at, now), deadline=latest)
        return heard

    def _deserves_grace(self, heard: Heard, sensor: Sensor, now: datetime) -> bool:
        if self._alarms.is_active(RULE_PREFIX + sensor.device):
            return False
        return heard.deadline <= now and heard.deadline - heard.at <= sensor.overdue_after

    def heard(self, device: str, at: datetime) -> Heard | None:
        """The deadline that a sign of life at ``at`` sets; None for an unknown device."""
        sensor = self._sensors.get(device)
        if sensor is None:
            return None
        return Heard(device=device, at=at, deadline=at + sensor.overdue_after)

    def sign_of_life(self, device: str, at: datetime) -> None:
        """A sensor was heard. Unknown devices have no deadline."""
        heard = self.heard(device, at)
        if heard is not None and at > self._heard[device].at:
            self._heard[device] = heard
            self._alarms.clear(RULE_PREFIX + device, at)
            self._together.back(device, at, self._heard)
            if self._soonest is None or heard.deadline < self._soonest:
                self._soonest = heard.deadline

    def next_deadline(self) -> datetime | None:
        """Not later than the next time at which a sensor would be overdue.

        Signs of life only move deadlines away, so that it need not be reckoned anew at each.
        """
        return self._soonest

    def hears(self, *, deaf: bool, now: datetime) -> None:
        """``deaf`` says that it is us who hear nothing; silence it is all the same."""
        if deaf != self._together.deaf:
            self._together.hears(deaf=deaf, now=now)
            self._find_soonest()

    def tick(self, now: datetime) -> None:
        """Raise the alarms of all sensors whose deadline has come."""
        due = [
            heard
            for heard in self._heard.values()
            if heard.deadline <= now and not self._alarms.is_active(RULE_PREFIX + heard.device)
        ]
        with self._alarms.at_once(now):
            for heard in due:
                self._raise(heard, deaf=self._together.deaf)
            if due:
                self._together.find(self._ever_heard(), self._overdue(), now)
            if self._together.next_deadline() is not None:
                self._together.tick(self._ever_heard(), self._overdue(), now)
        for home, alarm, at in tuple(self._unwatched()):
            if at <= now:
                self._tell_that_nobody_watches(home, alarm, at)
        self._find_soonest()

    def _unwatched(self) -> Iterator[tuple[str, Alarm, datetime]]:
        """Homes of which nothing is heard, what tells so, and from when on that is urgent."""
        for home, devices in self._homes.items():
            heard = [self._heard[device] for device in devices]
            silent = all(self._alarms.is_active(RULE_PREFIX + device) for device in devices)
            if not silent or all(one.at == NEVER for one in heard):
                continue
            at = max(one.deadline for one in heard) + UNWATCHED_FOR
            telling = self._tell_of_silence(devices)
            if telling and all(alarm.priority is not Priority.HIGH for alarm in telling):
                yield home, max(telling, key=lambda alarm: alarm.raised_at), at

    def _tell_of_silence(self, devices: Sequence[str]) -> Sequence[Alarm]:
        """Each alarm once; what hides the sensors' own, a power cut for example, is told itself."""
        found = {}
        for device in devices:
            alarm = self._alarms.of(RULE_PREFIX + device)
            cause = self._alarms.of(alarm.because_of) if alarm and alarm.because_of else None
            if cause is not None and cause.state.active:
                alarm = cause
            if alarm is not None and is_silence(alarm.rule):
                found[alarm.rule] = alarm
        by_design = SuppressionKind.BY_DESIGN
        return [one for one in found.values() if one.suppressed is not by_design]

    def _tell_that_nobody_watches(self, home: str, alarm: Alarm, at: datetime) -> None:
        name = self._place_names.get(home, home)
        self._alarms.raise_(
            Raised(
                rule=alarm.rule,
                place=alarm.place,
                priority=Priority.HIGH,
                at=alarm.raised_at,
                value=alarm.value,
                setpoint=alarm.setpoint,
                text=alarm.text,
                kind=alarm.kind,
                re_alarm_after=RE_ALARM_AFTER[Priority.HIGH],
                learned_at=at,
            )
        )
        self._alarms.say(alarm.rule, unwatched_text(alarm.text, place_name=name))

    def _overdue(self) -> dict[str, str]:
        rules = {device: RULE_PREFIX + device for device in self._sensors}
        return {device: rule for device, rule in rules.items() if self._alarms.is_active(rule)}

    def _ever_heard(self) -> dict[str, Heard]:
        return {device: one for device, one in self._heard.items() if one.at != NEVER}

    def _find_soonest(self) -> None:
        waiting = [
            heard.deadline
            for heard in self._heard.values()
            if not self._alarms.is_active(RULE_PREFIX + heard.device)
        ]
        grace = self._together.next_deadline()
        waiting += [at for _, _, at in self._unwatched()]
        self._soonest = min(waiting if grace is None else [*waiting, grace], default=None)

    def _raise(self, heard: Heard, *, deaf: bool) -> None:
        sensor = self._sensors[heard.device]
        last = None if heard.at == NEVER else heard.at
        allowed_s = sensor.overdue_after / timedelta(seconds=1)
        self._alarms.raise_(
            Raised(
                rule=RULE_PREFIX + sensor.device,
                place=sensor.place,
                priority=Priority.MEDIUM,
                at=heard.deadline,
                value=(heard.deadline - last).total_seconds() if last else allowed_s,
                setpoint=allowed_s,
                text=overdue_text(
                    sensor.device,
                    place_name=self._place_names.get(sensor.place, sensor.place),
                    last_heard=last,
                    now=heard.deadline,
                    zone=self._zone,
                    deaf=deaf,
                ),
            )
        )
