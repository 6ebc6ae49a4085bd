"""A power cut, by a sensor of the mains, or by lamps and warmth together."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from devices.reading import Quantity
from devices.sensor import Sensor
from service.alarm_path import AlarmPath
from service.alarms.lamp_words import lamps_and_cold_text, mains_text
from service.climate.light_plan import LightPlan
from service.followed_signals import FollowedSignals, Signal
from service.nests.place import Place, PlaceKind
from service.newest import Newest, newest_of
from service.quality.flag import Flag, Judged
from service.rules import power_cut
from service.rules.planned_lamps import Meant, PlannedLamps
from service.rules.rule_settings import RuleSettings
from service.store.reading_store import ReadingStore
from service.stored_readings import stored_readings

_KINDS = frozenset((power_cut.KIND,))
_LUX, _T, _MAINS = Quantity.ILLUMINANCE, Quantity.TEMPERATURE, Quantity.MAINS
_REACHES_BACK = timedelta(hours=6)
_LONGEST_BACK = timedelta(days=3)


class _Shed:
    """What one shed's lamps and warmth have done, by device."""

    def __init__(self, place: Place, plan: LightPlan) -> None:
        self.id = place.id
        self.rule = f"{power_cut.KIND}:{place.id}"
        self.lamps: dict[str, power_cut.LampTrack] = {}
        self.warmth: dict[str, power_cut.Warmth] = {}
        self.stroke: power_cut.Stroke | None = None
        self._name = place.name
        self._zone = plan.site.timezone
        self.by_mains = Signal(limit=power_cut.mains_limit(place.id), words=self._mains_words)
        self.by_cold = Signal(limit=power_cut.colder_limit(place.id), words=self._cold_words)

    def forget(self) -> None:
        """Nothing was heard."""
        self.lamps.clear()
        self.warmth.clear()
        self.stroke = None

    def stroke_seen(self) -> power_cut.Stroke | None:
        """When the lamps went dark for all light sensors: one that sees them burn says no."""
        strokes = [track.stroke for track in self.lamps.values()]
        told = [one for one in strokes if one is not None]
        return max(told, key=lambda one: one.at) if told and len(told) == len(strokes) else None

    def _mains_words(self, value: float, since: datetime) -> str:
        del value
        return mains_text(place_name=self._name, since=since, zone=self._zone)

    def _cold_words(self, value: float, since: datetime) -> str:
        return lamps_and_cold_text(
            place_name=self._name,
            colder_k=-value,
            dark_at=since if self.stroke is None else self.stroke.at,
            zone=self._zone,
        )


class PowerPath:
    """The mains of all sheds of one keeper."""

    def __init__(
        self,
        *,
        rules: RuleSettings,
        places: Sequence[Place],
        sensors: Sequence[Sensor],
        plan: LightPlan,
        alarms: AlarmPath,
    ) -> None:
        self._is_on = rules.is_on(power_cut.KIND)
        self._sensors = {sensor.device: sensor for sensor in sensors}
        self._threshold_lx = plan.threshold_lx
        self._alarms = alarms
        self._takes_up = False
        self._signals = FollowedSignals(alarms)
        self._lamps = PlannedLamps(plan)
        self._sheds = {
            place.id: _Shed(place, plan)
            for place in places
            if place.kind is PlaceKind.SHED and self._is_on
        }

    def restore(self, store: ReadingStore, now: datetime) -> None:
        """Take up where the stored readings and the open alarms left off.

        The cut that is going on is followed from before it began: only so is it known how
        bright the lamps were that have to burn again.
        """
        self._signals.forget()
        for shed in self._sheds.values():
            shed.forget()
        watched = {sensor.place for sensor in self._sensors.values()}
        rules = [shed.rule for shed in self._sheds.values() if shed.id in watched]
        self._signals.end_what_is_gone(_KINDS, rules, now)
        wanted = frozenset((shed, each) for shed in self._sheds for each in (_LUX, _T, _MAINS))
        self._takes_up = True
        with self._signals.taking_up(now):
            self._expect_mains(store)
            for judged in stored_readings(store, self._sensors, wanted, self._since(now), now):
                self.reading(judged)
        self._takes_up = False

    def reading(self, judged: Judged) -> None:
        """Follow one reading."""
        reading = judged.reading
        if reading.quantity not in (_LUX, _T, _MAINS):
            return
        shed = self._sheds.get(reading.place)
        sensor = self._sensors.get(reading.device)
        newest = None if sensor is None else newest_of(judged, sensor)
        if shed is None or newest is None:
            return
        if reading.quantity is _LUX:
            self._light(shed, reading.device, newest)
        elif reading.quantity is _T:
            self._warmth(shed, reading.device, newest)
        else:
            self._mains(shed, reading.device, newest)

    def next_deadline(self) -> datetime | None:
        """Not later than the next time at which a cut would be told by time alone."""
        return self._signals.next_deadline()

    def tick(self, now: datetime) -> None:
        """Let the on-delays run to ``now``."""
        self._signals.tick(now)

    def _light(self, shed: _Shed, device: str, newest: Newest) -> None:
        if not self._lamps.has_lamps:
            return
        shed.lamps[device] = power_cut.follow_lamps(
            shed.lamps.get(device, power_cut.LampTrack()),
            newest.at,
            newest.value,
            meant_lit=self._lamps.meant(newest.at) is Meant.LIT,
            threshold_lx=self._threshold_lx,
            max_gap=newest.max_gap,
        )
        before, shed.stroke = shed.stroke, shed.stroke_seen()
        if before is not None and shed.stroke is None:
            self._let_go(shed, newest.at)
        elif shed.stroke is None and newest.value >= power_cut.LIT_TIMES * self._threshold_lx:
            self._end_one_of_long_ago(shed, newest)

    def _end_one_of_long_ago(self, shed: _Shed, newest: Newest) -> None:
        """A cut that began before what is remembered is over when the lamps burn by plan."""
        alarm = self._alarms.of(shed.rule)
        if (
            alarm is not None
            and alarm.state.active
            and newest.at > alarm.raised_at
            and not self._takes_up
            and not self._signals.is_active(shed.rule)
            and newest.flag is Flag.PASS
            and self._lamps.meant(newest.at) is Meant.LIT
        ):
            self._alarms.clear(shed.rule, newest.at)

    def _warmth(self, shed: _Shed, device: str, newest: Newest) -> None:
        warmth = shed.warmth.get(device)
        if warmth is None:
            warmth = shed.warmth[device] = power_cut.Warmth()
        warmth.follow(newest.at, newest.value)
        stroke = shed.stroke
        if stroke is None or self._signals.is_active(shed.rule, device):
            return  # that it grows warmer by day does not bring the mains back
        if newest.at - stroke.at > power_cut.WITHIN:
            self._signals.let_go(shed.rule, device, newest.at)
            return
        lowest = warmth.lowest_before(stroke.at)
        if lowest is not None:
            told = newest._replace(value=newest.value - lowest)
            self._signals.follow(shed.by_cold, device, told)

    def _mains(self, shed: _Shed, device: str, newest: Newest) -> None:
        self._signals.follow(shed.by_mains, device, newest)
        if newest.value >= shed.by_mains.limit.setpoint:
            # It knows better than lamps and warmth do.
            self._let_go(shed, newest.at)

    def _let_go(self, shed: _Shed, at: datetime) -> None:
        for device in shed.warmth:
            self._signals.let_go(shed.rule, device, at)

    def _since(self, now: datetime) -> datetime:
        """How far back the stored readings are wanted."""
        began = [
            alarm.raised_at - power_cut.WITHIN
            for shed in self._sheds.values()
            if (alarm := self._alarms.of(shed.rule)) is not None and alarm.state.active
        ]
        earliest = min(began, default=now)
        return max(now - _LONGEST_BACK, min(earliest, now) - _REACHES_BACK)

    def _expect_mains(self, store: ReadingStore) -> None:
        for one in store.latest():
            shed = self._sheds.get(one.series.place)
            sensor = self._sensors.get(one.series.device)
            if shed is None or sensor is None or sensor.place != shed.id:
                continue
            if one.series.quantity is _MAINS:
                self._signals.expect(shed.by_mains, sensor.device, sensor.overdue_after)
