"""How the shed is, told from what the stores hold: what is wrong, what is unheard, what is well.

Pure. Order when several meet: act, then what is not live, then watch. Missing data never
counts as fine: a limit without a believed, fresh value of its quantity cannot be told.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from dashboards.views.alarm_words import limit_of, silent_device
from devices.reading import Quantity
from devices.sensor import Sensor
from service.alarms.alarm import Alarm, AlarmState
from service.alarms.rule_words import is_silence
from service.alarms.suppression import SuppressionKind
from service.answers.latest import is_fresh
from service.climate.light_state import Light
from service.nests.place import PlaceKind
from service.quality.flag import Flag
from service.rules.follow import in_force, is_past
from service.rules.limit import Limit, Priority
from service.settings.settings import Settings
from service.store.reading_store import Heard, Latest

IN_THE_JAR = "in the jar"
"""Why a limit is untold whose sensor is away for a salt trial."""


_BY_A_PERSON = (SuppressionKind.SHELVED, SuppressionKind.OUT_OF_SERVICE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Believed:
    """The newest reading of a series that passed, where the newest of all did not."""

    series_id: int
    measured_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Silent:
    """A sensor past its deadline. ``last`` is None when it was never heard."""

    sensor: Sensor
    last: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Untold:
    """A limit of which nobody can say whether it holds, and why."""

    limit: Limit
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Beyond:
    """A limit whose newest value is past it, and which is no alarm yet: its on-delay runs."""

    limit: Limit
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ShedState:
    """``act`` and ``watch`` are active alarms that are told, worst first; what only says that
    something is silent is none of them, for ``silent`` has it.
    ``shelved`` are active ones that a person shelved or took out of service, worst first, but
    for those of low priority: nobody is told of them, and nothing is well.

    ``waiting`` are sensors that were set up and not heard yet, within their time.
    ``live`` counts sensors that were heard in time, of ``sensors``; those in a salt jar, which
    tell nothing of the shed, are ``in_jar`` instead. ``trouble`` says in two or three words why
    nothing can be heard or judged (watch is dead), None while it can.
    ``beyond`` are limits passed so lately that they are no alarm yet.
    ``no_warmth`` are sheds (or the whole, where there is none) without any limit on warmth: how
    cold or hot it is there nobody is told, whatever other limits hold.
    ``returned`` are alarms whose condition is over and which nobody has acknowledged.
    """

    now: datetime
    trouble: str | None
    watch_last_at: datetime | None
    sensors: int
    limits: int
    live: int
    in_jar: int = 0
    act: tuple[Alarm, ...] = ()
    watch: tuple[Alarm, ...] = ()
    low: tuple[Alarm, ...] = ()
    shelved: tuple[Alarm, ...] = ()
    returned: tuple[Alarm, ...] = ()
    silent: tuple[Silent, ...] = ()
    waiting: tuple[Sensor, ...] = ()
    untold: tuple[Untold, ...] = ()
    beyond: tuple[Beyond, ...] = ()
    no_warmth: tuple[str, ...] = ()

    @property
    def nothing_heard(self) -> bool:
        """Every sensor is silent."""
        return self.sensors > 0 and len(self.silent) == self.sensors

    @property
    def blind(self) -> bool:
        """Watch is dead, or all sensors are silent: nothing on the wall is the present."""
        return self.trouble is not None or self.nothing_heard

    @property
    def rest_well(self) -> bool:
        """All that is heard is well."""
        wrong = self.act or self.watch or self.beyond or self.shelved or self.no_warmth
        return self.live > 0 and not (wrong or self.waiting or self._untold_though_heard)

    @property
    def _untold_though_heard(self) -> bool:
        quiet = {silent.sensor.place for silent in self.silent}
        return any(one.limit.place not in quiet for one in self.untold)

    @property
    def well(self) -> bool:
        """Everything is heard, believed, and within limits; and there are limits."""
        return (
            self.trouble is None
            and self.sensors > 0
            and self.limits > 0
            and self.rest_well
            and not (self.silent or self.untold)
        )


def shed_state(
    *,
    settings: Settings,
    alarms: Sequence[Alarm],
    newest: Sequence[Latest],
    believed: Sequence[Believed],
    heard: Sequence[Heard],
    trouble: str | None,
    watch_last_at: datetime | None,
    night: bool | None,
    now: datetime,
) -> ShedState:
    """Weigh all of it at ``now``. ``night`` is None where nobody can tell."""
    silent = _silent(settings.sensors, heard, alarms, now)
    quiet = {one.sensor.device for one in silent}
    known = {one.device for one in heard if one.at.year > 1970}
    wrong = [one for one in alarms if one.state.active and not is_silence(one.rule)]
    # What is hidden by its cause is told with it.
    active = [one for one in wrong if one.told]
    shelved = [one for one in wrong if one.suppressed in _BY_A_PERSON]
    return ShedState(
        now=now,
        trouble=trouble,
        watch_last_at=watch_last_at,
        sensors=len(settings.sensors),
        limits=len(settings.limits),
        live=sum(
            1
            for s in settings.sensors
            if s.device in known and s.device not in quiet and s.device not in settings.away
        ),
        in_jar=sum(1 for device in settings.away if device not in quiet),
        act=_worst_first(active, Priority.HIGH, settings.limits),
        watch=_worst_first(active, Priority.MEDIUM, settings.limits),
        low=_worst_first(active, Priority.LOW, settings.limits),
        shelved=(
            *_worst_first(shelved, Priority.HIGH, settings.limits),
            *_worst_first(shelved, Priority.MEDIUM, settings.limits),
        ),
        returned=tuple(
            one
            for one in alarms
            if one.told
            and one.state is AlarmState.RETURNED_UNACKNOWLEDGED
            and not is_silence(one.rule)
        ),
        silent=silent,
        waiting=tuple(
            s for s in settings.sensors if s.device not in known and s.device not in quiet
        ),
        untold=_untold(settings, newest, believed, now),
        beyond=_beyond(settings, newest, wrong, night, now),
        no_warmth=_no_warmth(settings),
    )


def _no_warmth(settings: Settings) -> tuple[str, ...]:
    """A limit on a box or a cage in it watches a shed too; one that holds at times is enough."""
    around = {place.id: place.within for place in settings.places}
    watched = {one.place for one in settings.limits if one.quantity is Quantity.TEMPERATURE}
    sheds = [place.id for place in settings.places if place.kind is PlaceKind.SHED]
    if not sheds:
        return () if watched else tuple(place.id for place in settings.places[:1])
    inside = {outer for place in watched for outer in _outwards(place, around)}
    return tuple(shed for shed in sheds if shed not in inside)


def _outwards(place: str | None, around: Mapping[str, str | None]) -> Iterator[str]:
    """A place, and all that it stands in; a place twice around itself ends it."""
    seen: set[str] = set()
    while place is not None and place not in seen:
        seen.add(place)
        yield place
        place = around.get(place)


def _silent(
    sensors: Sequence[Sensor], heard: Sequence[Heard], alarms: Sequence[Alarm], now: datetime
) -> tuple[Silent, ...]:
    """By deadline, or because an alarm says so. The longest silent first."""
    by_device = {one.device: one for one in heard}
    told = {silent_device(one) for one in alarms if one.state.active}
    found = []
    for sensor in sensors:
        one = by_device.get(sensor.device)
        if sensor.device in told or (one is not None and one.deadline <= now):
            last = one.at if one is not None and one.at.year > 1970 else None
            found.append(Silent(sensor=sensor, last=last))
    return tuple(sorted(found, key=lambda s: s.last.timestamp() if s.last else 0.0))


_SCALE = {Quantity.TEMPERATURE: 1.0, Quantity.RELATIVE_HUMIDITY: 5.0}
"""What counts as equally bad: a degree and five per cent."""


def _worst_first(
    active: Sequence[Alarm], priority: Priority, limits: tuple[Limit, ...]
) -> tuple[Alarm, ...]:
    def badness(alarm: Alarm) -> tuple[float, float]:
        limit = limit_of(alarm, limits)
        scale = _SCALE.get(limit.quantity, max(1.0, abs(limit.setpoint))) if limit else 1.0
        return -abs(alarm.value - alarm.setpoint) / scale, alarm.raised_at.timestamp()

    return tuple(sorted((a for a in active if a.priority is priority), key=badness))


def _beyond(
    settings: Settings,
    newest: Sequence[Latest],
    active: Sequence[Alarm],
    night: bool | None,
    now: datetime,
) -> tuple[Beyond, ...]:
    """Also by doubtful values: for danger they count. Low limits are told on the phone only."""
    allowed = {sensor.device: sensor.overdue_after for sensor in settings.sensors}
    light = Light(is_night=night, bounds=None)
    told = {alarm.rule for alarm in active}
    found = []
    for limit in settings.limits:
        if limit.id in told or limit.priority is Priority.LOW or not in_force(limit, light):
            continue
        values = [
            one.value
            for one in newest
            if (one.series.place, one.series.quantity) == (limit.place, limit.quantity)
            and one.flag in (Flag.PASS, Flag.SUSPECT)
            and one.series.device in allowed
            and is_fresh(one.measured_at, allowed[one.series.device], now)
            and is_past(limit, one.value)
        ]
        if values:
            worst = min(values) if limit.low is not None else max(values)
            found.append(Beyond(limit=limit, value=worst))
    return tuple(found)


def _untold(
    settings: Settings, newest: Sequence[Latest], believed: Sequence[Believed], now: datetime
) -> tuple[Untold, ...]:
    passed = {one.series_id: one.measured_at for one in believed}
    found = []
    for limit in settings.limits:
        here = [
            one
            for one in newest
            if one.series.place == limit.place and one.series.quantity is limit.quantity
        ]
        allowed = {
            sensor.device: sensor.overdue_after
            for sensor in settings.sensors
            if sensor.place == limit.place
        }
        devices = {one.series.device for one in here}
        if devices.isdisjoint(allowed) and not devices.isdisjoint(settings.away):
            why: str | None = IN_THE_JAR
        else:
            why = _why_untold(here, allowed, passed, now)
        if why:
            found.append(Untold(limit=limit, why=why))
    return tuple(found)


def _why_untold(
    here: Sequence[Latest],
    allowed: dict[str, timedelta],
    passed: dict[int, datetime],
    now: datetime,
) -> str | None:
    """The first reason; None where every series of that quantity there is fresh and believed.

    A sensor that stands there no more counts only where there is no other.
    """
    set_up = [one for one in here if one.series.device in allowed]
    if not set_up:
        return "too old" if here else "not measured"
    for one in set_up:
        after = allowed[one.series.device]
        good_at = one.measured_at if one.flag is Flag.PASS else passed.get(one.series.id)
        if good_at is None or not is_fresh(good_at, after, now):
            fresh = is_fresh(one.measured_at, after, now)
            return "not believed" if fresh else "too old"
    return None
