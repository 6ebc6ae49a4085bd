"""Damp on the coldest surface, a fast fall, a heater that does not hold: from reading to alarm."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta, tzinfo

from devices.reading import Quantity
from devices.sensor import Sensor
from service.alarm_path import AlarmPath
from service.alarms.air_words import condensation_text, fall_text, heater_text
from service.climate.cold_surface import ColdSurface
from service.followed_signals import FollowedSignals, Signal
from service.nests.place import Place, PlaceKind
from service.newest import Newest, keep, newest_of
from service.quality.flag import Flag, Judged
from service.rules import condensation, fast_fall, heater_short
from service.rules.rule_settings import RuleSettings
from service.store.reading_store import ReadingStore
from service.stored_readings import stored_readings

_KINDS = frozenset((condensation.KIND, fast_fall.KIND, heater_short.KIND))
_T, _RH = Quantity.TEMPERATURE, Quantity.RELATIVE_HUMIDITY
_SLACK = timedelta(minutes=30)


class _Shed:
    """One shed: its rules that are on, and what its sensors said last, by device."""

    def __init__(
        self, place: Place, rules: RuleSettings, heater_c: float | None, zone: tzinfo
    ) -> None:
        self.id = place.id
        self._name = place.name
        self._zone = zone
        self.warmth: dict[str, Newest] = {}
        self.damp: dict[str, Newest] = {}
        self.surface: dict[str, Newest] = {}
        self.falling: dict[str, fast_fall.Falling] = {}
        self.is_surface_measured = False
        self._thermostat_c = heater_c or 0.0
        self.on_damp = self._on_damp(rules)
        self.on_fall = self._on_fall(rules)
        self.on_heat = None if heater_c is None else self._on_heat(rules, heater_c)

    def signals(self) -> Iterator[Signal]:
        """Those that are on."""
        yield from (one for one in (self.on_damp, self.on_fall, self.on_heat) if one is not None)

    def forget(self) -> None:
        """Nothing was heard."""
        for told in (self.warmth, self.damp, self.surface):
            told.clear()
        self.falling.clear()

    def _on_damp(self, rules: RuleSettings) -> Signal | None:
        kind = condensation.KIND
        if not rules.is_on(kind):
            return None
        limit = condensation.condensation_limit(self.id, for_min=rules.number(kind, "for_min"))
        return Signal(limit=limit, words=self._damp_words)

    def _on_fall(self, rules: RuleSettings) -> Signal | None:
        kind = fast_fall.KIND
        if not rules.is_on(kind):
            return None
        limit = fast_fall.fall_limit(self.id, fall_k_per_h=rules.number(kind, "fall_k_per_h"))
        return Signal(limit=limit, words=self._fall_words)

    def _on_heat(self, rules: RuleSettings, heater_c: float) -> Signal | None:
        kind = heater_short.KIND
        if not rules.is_on(kind):
            return None
        limit = heater_short.heater_limit(
            self.id,
            thermostat_c=heater_c,
            below_k=rules.number(kind, "below_k"),
            for_min=rules.number(kind, "for_min"),
        )
        return Signal(limit=limit, words=self._heat_words)

    def _damp_words(self, value: float, since: datetime) -> str:
        return condensation_text(
            place_name=self._name,
            measured=self.is_surface_measured,
            margin_k=value,
            since=since,
            zone=self._zone,
        )

    def _fall_words(self, value: float, since: datetime) -> str:
        coldest = min(self.warmth.values(), key=lambda one: one.value)
        return fall_text(
            place_name=self._name,
            fall_k_per_h=value,
            now_c=coldest.value,
            since=since - fast_fall.OVER,
            zone=self._zone,
        )

    def _heat_words(self, value: float, since: datetime) -> str:
        return heater_text(
            place_name=self._name,
            value_c=value,
            thermostat_c=self._thermostat_c,
            since=since,
            zone=self._zone,
        )


class AirPath:
    """The air of all sheds of one keeper."""

    def __init__(
        self,
        *,
        rules: RuleSettings,
        places: Sequence[Place],
        sensors: Sequence[Sensor],
        surface: ColdSurface | None,
        heater_c: float | None,
        zone: tzinfo,
        alarms: AlarmPath,
    ) -> None:
        self._sensors = {sensor.device: sensor for sensor in sensors}
        self._described = surface
        self._signals = FollowedSignals(alarms)
        self._fall_below_c = rules.number(fast_fall.KIND, "below_c")
        self._outdoors: dict[str, Newest] = {}
        self._outdoor_places = _of_kind(places, PlaceKind.OUTDOORS)
        self._sheds = {
            place.id: _Shed(place, rules, heater_c, zone)
            for place in places
            if place.kind is PlaceKind.SHED
        }
        self._shed_of_surface = _sheds_of_surfaces(places)
        self._places = frozenset((*self._sheds, *self._shed_of_surface, *self._outdoor_places))

    def restore(self, store: ReadingStore, now: datetime) -> None:
        """Take up where the stored readings and the open alarms left off."""
        self._signals.forget()
        self._outdoors.clear()
        for shed in self._sheds.values():
            shed.forget()
        self._signals.end_what_is_gone(_KINDS, self._rules_there_are(), now)
        with self._signals.taking_up(now):
            heard = list(self._those_heard(store))
            for signal, sensor, _ in heard:
                # One that fell silent may have raised what is active, and so keeps it up.
                self._signals.expect(signal, sensor.device, sensor.overdue_after)
            since = now - self._reaches_back()
            for judged in stored_readings(store, self._sensors, self._wanted(), since, now):
                self.reading(judged)
            for signal, sensor, newest_at in heard:
                if newest_at <= now:
                    self._signals.passed_over(signal.limit.id, sensor.device, newest_at)

    def reading(self, judged: Judged) -> None:
        """Follow one reading."""
        reading = judged.reading
        if reading.quantity is not _T and reading.quantity is not _RH:
            return
        if reading.place not in self._places:
            return
        sensor = self._sensors.get(reading.device)
        newest = None if sensor is None else newest_of(judged, sensor)
        if newest is None:
            return
        shed = self._sheds.get(reading.place)
        if shed is None:
            self._beside(reading.place, reading.device, reading.quantity, newest)
        elif reading.quantity is _T:
            keep(shed.warmth, reading.device, newest)
            self._warmth(shed, reading.device, newest)
        else:
            keep(shed.damp, reading.device, newest)
            self._damp(shed, reading.device, newest)

    def next_deadline(self) -> datetime | None:
        """Not later than the next time at which a rule would be breached by time alone."""
        return self._signals.next_deadline()

    def tick(self, now: datetime) -> None:
        """Let the on-delays run to ``now``."""
        self._signals.tick(now)

    def _beside(self, place: str, device: str, quantity: Quantity, newest: Newest) -> None:
        """A reading outdoors, on a surface, or where none of these rules asks for one."""
        if quantity is not _T:
            return
        if place in self._outdoor_places:
            keep(self._outdoors, device, newest)
            return
        shed = self._sheds.get(self._shed_of_surface.get(place, ""))
        if shed is not None:
            keep(shed.surface, device, newest)
            for in_shed in shed.damp:
                self._damp(shed, in_shed, newest)

    def _warmth(self, shed: _Shed, device: str, newest: Newest) -> None:
        if shed.on_heat is not None:
            self._signals.follow(shed.on_heat, device, newest)
        if shed.on_fall is not None:
            falling = shed.falling.get(device)
            if falling is None:
                falling = shed.falling[device] = fast_fall.Falling(newest.max_gap)
            rate = falling.follow(newest.at, newest.value)
            if rate is not None:
                # Where it is warm a fall is a relief.
                cool = newest.value < self._fall_below_c
                fall = newest._replace(value=rate)
                self._signals.follow(shed.on_fall, device, fall, in_force=cool)

    def _damp(self, shed: _Shed, device: str, by: Newest) -> None:
        """``by`` is the reading that something new is known from."""
        if shed.on_damp is None:
            return
        warmth, damp = shed.warmth.get(device), shed.damp.get(device)
        if warmth is None or damp is None or not (warmth.holds(by.at) and damp.holds(by.at)):
            return
        surface = self._surface_at(shed, warmth, by.at)
        if surface is None:
            return
        surface_c, surface_flag = surface
        margin = condensation.surface_margin_k(warmth.value, damp.value, surface_c)
        if margin is None:
            return
        flag = max(warmth.flag, damp.flag, surface_flag)
        told = Newest(by.at, margin, flag, by.received_at, damp.max_gap)
        self._signals.follow(shed.on_damp, device, told)

    def _surface_at(self, shed: _Shed, warmth: Newest, at: datetime) -> tuple[float, Flag] | None:
        """The coldest surface [°C]: of sensors on it that are heard, else as it was described."""
        measured = [one for one in shed.surface.values() if one.holds(at)]
        shed.is_surface_measured = bool(measured)
        if measured:
            coldest = min(measured, key=lambda one: one.value)
            return coldest.value, coldest.flag
        if self._described is None:
            return None
        heard = [one for one in self._outdoors.values() if one.holds(at)]
        outdoors = min(heard, key=lambda one: one.value, default=None)
        outdoors_c = None if outdoors is None else outdoors.value
        surface_c = self._described.at_c(warmth.value, outdoors_c)
        if surface_c is None:
            return None
        return surface_c, Flag.PASS if outdoors is None else outdoors.flag

    def _wanted(self) -> frozenset[tuple[str, Quantity]]:
        inside = {(shed, quantity) for shed in self._sheds for quantity in (_T, _RH)}
        beside = (*self._outdoor_places, *self._shed_of_surface)
        return frozenset(inside | {(place, _T) for place in beside})

    def _rules_there_are(self) -> frozenset[str]:
        """Those that are on and have sensors that could tell."""
        heard = {sensor.place for sensor in self._sensors.values()}
        return frozenset(
            signal.limit.id
            for shed in self._sheds.values()
            if shed.id in heard
            for signal in shed.signals()
        )

    def _reaches_back(self) -> timedelta:
        """How much of the past tells all that must be known."""
        delays = [
            max(signal.limit.on_delay, signal.limit.off_delay)
            for shed in self._sheds.values()
            for signal in shed.signals()
        ]
        gaps = [3 * sensor.overdue_after for sensor in self._sensors.values()]
        return max(delays, default=_SLACK) + max(gaps, default=_SLACK) + fast_fall.OVER + _SLACK

    def _those_heard(self, store: ReadingStore) -> Iterator[tuple[Signal, Sensor, datetime]]:
        """Each signal with the sensors in the shed that have told it, and when they did last."""
        for one in store.latest():
            sensor = self._sensors.get(one.series.device)
            shed = self._sheds.get(one.series.place)
            if shed is None or sensor is None or sensor.place != shed.id:
                continue
            told = {_T: (shed.on_heat, shed.on_fall), _RH: (shed.on_damp,)}
            for signal in told.get(one.series.quantity, ()):
                if signal is not None:
                    yield signal, sensor, one.measured_at


def _of_kind(places: Sequence[Place], kind: PlaceKind) -> frozenset[str]:
    return frozenset(place.id for place in places if place.kind is kind)


def _sheds_of_surfaces(places: Sequence[Place]) -> Mapping[str, str]:
    """For each surface the shed that it is in; one that stands in a flight is none of these."""
    sheds = _of_kind(places, PlaceKind.SHED)
    return {
        place.id: place.within
        for place in places
        if place.kind is PlaceKind.SURFACE and place.within in sheds and place.within
    }
