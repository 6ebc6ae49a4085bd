"""Limits, followed reading by reading: from a judged reading to a raised or cleared alarm.

Holds, for every limit and every sensor it applies to, how far its delays have run, and what
the light sensors say. All by event time.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta, tzinfo

from devices.reading import Quantity, Reading
from devices.sensor import Sensor
from service.alarm_path import AlarmPath, Raised
from service.alarms.wording import limit_text
from service.climate.light_plan import LightPlan
from service.climate.light_state import Light, LightTrack, follow_light, light_at
from service.quality.flag import Flag, Judged
from service.rules.follow import Track, assess, changes, follow, in_force, next_deadline, starting
from service.rules.limit import Limit
from service.store.reading_store import ReadingStore, StoredReading

_GAPS_BEFORE = 3


class _Followed:
    """One limit on the readings of one sensor, as far as they have been followed."""

    def __init__(self, limit: Limit, sensor: Sensor, track: Track) -> None:
        self.limit = limit
        self.sensor = sensor
        self.track = track

    @property
    def max_gap(self) -> timedelta:
        return self.sensor.overdue_after

    def next_deadline(self) -> datetime | None:
        return next_deadline(self.track, self.limit, self.max_gap)

    def reaches_back(self) -> timedelta:
        """How much of the past tells all that the track must know."""
        delay = max(self.limit.on_delay, self.limit.off_delay)
        return delay + _GAPS_BEFORE * self.max_gap


class _LightSensor:
    def __init__(self, sensor: Sensor) -> None:
        self.sensor = sensor
        self.track = LightTrack()

    def silent(self, at: datetime) -> bool:
        last_at = self.track.last_at
        return last_at is None or at - last_at > self.sensor.overdue_after


class LimitPath:
    """All limits of one shed, and the light they depend on.

    ``light_places`` are the places whose light sensors tell night from day.
    """

    def __init__(
        self,
        *,
        limits: Sequence[Limit],
        sensors: Sequence[Sensor],
        plan: LightPlan,
        light_places: Sequence[str],
        place_names: Mapping[str, str],
        zone: tzinfo,
        alarms: AlarmPath,
    ) -> None:
        self._limits: dict[tuple[str, Quantity], list[Limit]] = defaultdict(list)
        for limit in limits:
            self._limits[limit.place, limit.quantity].append(limit)
        self._limit_ids = frozenset(limit.id for limit in limits)
        self._sensors = {sensor.device: sensor for sensor in sensors}
        self._plan = plan
        self._light_places = frozenset(light_places)
        self._place_names = place_names
        self._zone = zone
        self._alarms = alarms
        self._followed: dict[str, dict[str, _Followed]] = defaultdict(dict)
        self._light: dict[str, _LightSensor] = {}
        self._soonest: datetime | None = None

    def restore(self, store: ReadingStore, now: datetime) -> None:
        """Take up where the stored readings and the open alarms left off.

        Called at the start, and again when the clock was put back.
        """
        self._followed.clear()
        self._light.clear()
        self._soonest = None
        self._drop_alarms_without_a_limit(now)
        series = [one for one in store.series() if one.device in self._sensors]
        for one in series:
            if one.quantity is Quantity.ILLUMINANCE and one.place in self._light_places:
                since = now - 4 * self._plan.dark_for - timedelta(hours=1)
                for reading in store.window(one.id, since, now + timedelta(minutes=1)):
                    self._follow_light(one.device, reading)
        for one in series:
            for limit in self._limits.get((one.place, one.quantity), ()):
                followed = self._followed_by(limit, one.device)
                since = now - followed.reaches_back()
                for reading in store.window(one.id, since, now + timedelta(minutes=1)):
                    self._follow(followed, reading.measured_at, reading.value, reading.flag)
                self._note(followed.next_deadline())
        self._reconcile(now)

    def _reconcile(self, now: datetime) -> None:
        """Where the kept alarm and the stored readings disagree, the readings are right."""
        for limit_id, by_device in self._followed.items():
            tracks = [one.track for one in by_device.values()]
            if any(track.active for track in tracks):
                for one in by_device.values():
                    if one.track.active and not self._alarms.is_active(limit_id):
                        self._raise(one, one.track.raised_at or now)
            else:
                cleared = [track.cleared_at for track in tracks if track.cleared_at]
                if cleared:
                    self._alarms.clear(limit_id, max(cleared))

    def _drop_alarms_without_a_limit(self, now: datetime) -> None:
        for alarm in self._alarms.open_alarms():
            if ":" not in alarm.rule and alarm.rule not in self._limit_ids:
                self._alarms.clear(alarm.rule, now, text=f"{alarm.text} This limit is set no more.")

    def reading(self, judged: Judged) -> None:
        """Follow one reading. It must not be older than a day (see ``is_history``)."""
        reading = judged.reading
        if reading.quantity is Quantity.ILLUMINANCE and reading.place in self._light_places:
            self._follow_light(
                reading.device,
                StoredReading(
                    measured_at=reading.measured_at, value=reading.value, flag=judged.flag
                ),
            )
        for limit in self._limits.get((reading.place, reading.quantity), ()):
            self._follow_limit(limit, reading, judged.flag)

    def _follow_limit(self, limit: Limit, reading: Reading, flag: Flag) -> None:
        followed = self._followed_by(limit, reading.device)
        before = followed.track
        self._follow(followed, reading.measured_at, reading.value, flag)
        self._tell(followed, before)
        self._note(followed.next_deadline())

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
            self._tell(followed, before)
            self._note(followed.next_deadline())

    def light(self, at: datetime) -> Light:
        """Night or day, by the first light sensor that is not silent, else by the plan."""
        for sensor in self._light.values():
            if not sensor.silent(at):
                return light_at(at, sensor.track, self._plan, sensor_silent=False)
        return light_at(at, LightTrack(), self._plan, sensor_silent=True)

    def _follow(self, followed: _Followed, at: datetime, value: float, flag: Flag) -> None:
        followed.track = follow(
            followed.track,
            followed.limit,
            at=at,
            value=value,
            flag=flag,
            in_force=in_force(followed.limit, self.light(at)),
            max_gap=followed.max_gap,
        )

    def _follow_light(self, device: str, reading: StoredReading) -> None:
        if reading.flag in (Flag.FAIL, Flag.MISSING):
            return
        sensor = self._light.setdefault(device, _LightSensor(self._sensors[device]))
        sensor.track = follow_light(
            sensor.track,
            reading.measured_at,
            reading.value,
            self._plan,
            max_gap=max(sensor.sensor.overdue_after, self._plan.dark_for),
        )

    def _followed_by(self, limit: Limit, device: str) -> _Followed:
        by_device = self._followed[limit.id]
        if device not in by_device:
            alarm = self._alarms.of(limit.id)
            active = alarm is not None and alarm.state.active
            track = starting(active, alarm.raised_at if alarm else None)
            by_device[device] = _Followed(limit, self._sensors[device], track)
        return by_device[device]

    def _all_followed(self) -> Iterator[_Followed]:
        for by_device in self._followed.values():
            yield from by_device.values()

    def _tell(self, followed: _Followed, before: Track) -> None:
        for change in changes(before, followed.track):
            if change.active:
                self._raise(followed, change.at)
            elif not any(one.track.active for one in self._followed[followed.limit.id].values()):
                self._alarms.clear(followed.limit.id, change.at)

    def _raise(self, followed: _Followed, at: datetime) -> None:
        limit = followed.limit
        value = followed.track.last_value
        if value is None:
            return  # no reading, no breach
        since = followed.track.breached_since or at
        self._alarms.raise_(
            Raised(
                rule=limit.id,
                place=limit.place,
                priority=limit.priority,
                at=at,
                value=value,
                setpoint=limit.setpoint,
                text=limit_text(
                    limit,
                    place_name=self._place_names.get(limit.place, limit.place),
                    value=value,
                    since=since,
                    zone=self._zone,
                ),
            )
        )

    def _note(self, deadline: datetime | None) -> None:
        if deadline is not None and (self._soonest is None or deadline < self._soonest):
            self._soonest = deadline
