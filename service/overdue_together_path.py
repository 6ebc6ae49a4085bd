"""Sensors that fell silent together: one alarm that lists them, and hides their own.

Either they share an instant at which they can have stopped (a receiver, the power), or it is us
who hear nothing of the broker. Each sensor's own alarm is raised all the same, suppressed by
design while this one is active.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta, tzinfo

from devices.sensor import Sensor
from service.alarm_path import AlarmPath, Raised
from service.alarms.wording import broker_text, together_text
from service.rules.limit import Priority
from service.rules.overdue_together import AT_LEAST, Quiet, fell_silent_together
from service.store.reading_store import Heard

TOGETHER = "overdue-together:"
BROKER = "broker:"

_LONGEST_GRACE = timedelta(minutes=15)


class OverdueTogetherPath:
    """The groups of silent sensors of one shed, by the rule that tells of them."""

    def __init__(
        self,
        sensors: Mapping[str, Sensor],
        place_names: Mapping[str, str],
        around: Mapping[str, str | None],
        zone: tzinfo,
        alarms: AlarmPath,
    ) -> None:
        self._sensors = sensors
        self._place_names = place_names
        self._around = around
        self._zone = zone
        self._alarms = alarms
        self._members: dict[str, set[str]] = {}
        self._deaf = False
        self._grace_until: datetime | None = None

    @property
    def deaf(self) -> bool:
        """The broker can't be heard, as far as was told."""
        return self._deaf

    def restore(self, now: datetime, overdue: Mapping[str, str]) -> None:
        """Take up the open alarms; ``overdue`` is the rule of each sensor's own alarm."""
        self._members.clear()
        for alarm in self._alarms.open_alarms():
            if not alarm.rule.startswith((TOGETHER, BROKER)) or not alarm.state.active:
                continue
            members = {
                device for device, rule in overdue.items() if self._is_put_down_to(rule, alarm.rule)
            }
            if members:
                self._members[alarm.rule] = members
            else:
                self._alarms.clear(alarm.rule, now)
        self._give_grace(now)

    def hears(self, *, deaf: bool, now: datetime) -> None:
        """Whether the broker can be heard now."""
        if deaf == self._deaf:
            return
        self._deaf = deaf
        self._grace_until = None
        if not deaf:
            self._give_grace(now)

    def next_deadline(self) -> datetime | None:
        """When sensors that were unheard with the broker have had their time."""
        return self._grace_until

    def find(self, heard: Mapping[str, Heard], overdue: Mapping[str, str], now: datetime) -> None:
        """A sensor has just become overdue: is one cause behind it and others?

        ``heard`` are those that were ever heard, ``overdue`` the rules of those overdue now.
        """
        if self._deaf:
            self._gather(BROKER, set(overdue), heard, overdue, now)
            return
        quiet = [
            Quiet(device=device, last=one.at, interval=self._sensors[device].interval)
            for device, one in heard.items()
        ]
        together = fell_silent_together(quiet, now)
        if not together.isdisjoint(overdue):
            self._gather(TOGETHER, set(together), heard, overdue, now)

    def tick(self, heard: Mapping[str, Heard], overdue: Mapping[str, str], now: datetime) -> None:
        """The broker is heard again for so long that who is silent still is so by itself."""
        if self._grace_until is None or self._grace_until > now:
            return
        self._grace_until = None
        for rule in [rule for rule in self._members if rule.startswith(BROKER)]:
            del self._members[rule]
            self._alarms.clear(rule, now)
        self.find(heard, overdue, now)

    def back(self, device: str, at: datetime, heard: Mapping[str, Heard]) -> None:
        """A sensor was heard again."""
        for rule, members in tuple(self._members.items()):
            if device not in members:
                continue
            members.discard(device)
            left = [one for one in members if self._alarms.is_active(f"overdue:{one}")]
            if left:
                self._alarms.say(rule, self._text(rule, left, heard, at))
            else:
                del self._members[rule]
                self._alarms.clear(rule, at)

    def _gather(
        self,
        prefix: str,
        found: set[str],
        heard: Mapping[str, Heard],
        overdue: Mapping[str, str],
        now: datetime,
    ) -> None:
        place = self._shed_of(found)
        rule = prefix + place
        members = self._members.setdefault(rule, set())
        members |= found
        self._alarms.raise_(
            Raised(
                rule=rule,
                place=place,
                priority=Priority.MEDIUM,
                at=now,
                value=float(len(members)),
                setpoint=float(AT_LEAST if prefix == TOGETHER else 1),
                text=self._text(rule, members, heard, now),
            )
        )
        self._alarms.say(rule, self._text(rule, members, heard, now), value=float(len(members)))
        for device in members & set(overdue):
            self._alarms.put_down_to(overdue[device], rule, now)

    def _give_grace(self, now: datetime) -> None:
        waiting = [
            self._sensors[device].overdue_after
            for rule, members in self._members.items()
            if rule.startswith(BROKER)
            for device in members
            if device in self._sensors
        ]
        if waiting:
            self._grace_until = now + min(max(waiting), _LONGEST_GRACE)

    def _is_put_down_to(self, rule: str, cause: str) -> bool:
        alarm = self._alarms.of(rule)
        return alarm is not None and alarm.state.active and alarm.because_of == cause

    def _shed_of(self, devices: set[str]) -> str:
        """Where most of them stand, in no other place: a shed, or what stands by itself."""
        places = (self._sensors[one].place for one in sorted(devices))
        sheds = Counter(outermost(place, self._around) for place in places)
        return sheds.most_common(1)[0][0]

    def _text(
        self,
        rule: str,
        devices: set[str] | Sequence[str],
        heard: Mapping[str, Heard],
        now: datetime,
    ) -> str:
        prefix, _, place = rule.partition(":")
        names = [
            f"{one} ({self._place_names.get(self._sensors[one].place, self._sensors[one].place)})"
            for one in sorted(devices)
        ]
        times = (heard[one].at for one in devices if one in heard)
        last = max((at for at in times if at.year > 1970), default=None)
        say = broker_text if prefix + ":" == BROKER else together_text
        return say(
            names,
            place_name=self._place_names.get(place, place),
            last_heard=last,
            now=now,
            zone=self._zone,
        )


def outermost(place: str, around: Mapping[str, str | None]) -> str:
    """The place that stands in no other; a place twice around itself ends it too."""
    seen: set[str] = set()
    while (within := around.get(place)) is not None and place not in seen:
        seen.add(place)
        place = within
    return place
