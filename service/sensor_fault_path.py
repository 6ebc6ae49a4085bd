"""Sensors that are stuck, that fail, or whose battery runs low: from how their readings were
judged to an alarm. By what came last, so that it costs next to nothing for each reading.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta, tzinfo

from devices.reading import Quantity
from devices.sensor import Sensor
from service.alarm_path import AlarmPath
from service.alarms.sensor_words import battery_text, dying_text, failing_text, stuck_text
from service.followed_signals import FollowedSignals, Signal
from service.newest import Newest
from service.quality.doubt import Doubt, doubts_in
from service.quality.flag import Flag, Judged
from service.rules import battery_low, doubtful_sensor
from service.rules.limit import Limit
from service.rules.rule_settings import RuleSettings
from service.store.reading_store import ReadingStore

_KINDS = frozenset((doubtful_sensor.STUCK, doubtful_sensor.FAILING, battery_low.KIND))
_DYING = "dying"
OVERDUE = "overdue:"


class _Series:
    """One quantity of one sensor: its signals that are on, and its last twenty readings."""

    def __init__(self, stuck: Signal | None, failing: Signal | None, gap: timedelta) -> None:
        self.stuck = stuck
        self.failing = failing
        self.gap = gap
        self.last_twenty = doubtful_sensor.LastTwenty()
        self.last_at: datetime | None = None
        self.is_restless = True
        """Something is wrong with it, or was until a moment ago, or nobody knows yet."""


class SensorFaultPath:
    """All configured sensors."""

    def __init__(
        self,
        *,
        rules: RuleSettings,
        sensors: Sequence[Sensor],
        limits: Sequence[Limit],
        place_names: Mapping[str, str],
        zone: tzinfo,
        alarms: AlarmPath,
    ) -> None:
        """Where one of ``limits`` is on batteries, the keeper's own word holds."""
        self._rules = rules
        self._sensors = {sensor.device: sensor for sensor in sensors}
        self._place_names = place_names
        self._zone = zone
        self._alarms = alarms
        self._signals = FollowedSignals(alarms, tells_past=False)
        self._series: dict[tuple[str, Quantity], _Series] = {}
        self._batteries: dict[str, tuple[Signal, Signal]] = {}
        own = {limit.place for limit in limits if limit.quantity is Quantity.BATTERY}
        if rules.is_on(battery_low.KIND):
            self._batteries = {
                sensor.device: self._battery(sensor)
                for sensor in sensors
                if sensor.place not in own
            }

    def restore(self, store: ReadingStore, now: datetime) -> None:
        """Take up the open alarms; what raised them has to be well to end them."""
        self._signals.forget()
        self._series.clear()
        self._signals.end_what_is_gone(_KINDS, self._rules_there_are(), now)
        with self._signals.taking_up(now):
            for one in store.latest():
                sensor = self._sensors.get(one.series.device)
                if sensor is not None and sensor.place == one.series.place:
                    self._expect(sensor, one.series.quantity)
                    if one.measured_at <= now:
                        # What is stored was judged once; it may come again.
                        self._series[sensor.device, one.series.quantity].last_at = one.measured_at

    def reading(self, judged: Judged) -> None:
        """Follow how one reading was judged."""
        reading = judged.reading
        sensor = self._sensors.get(reading.device)
        if sensor is None:
            return
        series = self._series.get((reading.device, reading.quantity))
        if series is None:
            series = self._new(sensor, reading.quantity)
        if series.last_at is not None and reading.measured_at <= series.last_at:
            return
        series.last_at = reading.measured_at
        if not judged.reason and not series.is_restless:
            series.last_twenty.follow(bad=False)
            return
        doubts = doubts_in(judged.reason) if judged.reason else ()
        self._values(series, judged, doubts)
        self._charge(sensor, judged, doubts)
        series.is_restless = reading.quantity is Quantity.BATTERY or not self._is_well(
            sensor, series
        )

    def next_deadline(self) -> datetime | None:
        """Not later than the next time at which something would be told by time alone."""
        return self._signals.next_deadline()

    def tick(self, now: datetime) -> None:
        """Let delays run to ``now``."""
        self._signals.tick(now)

    def _values(self, series: _Series, judged: Judged, doubts: Sequence[Doubt]) -> None:
        member = judged.reading.quantity.value
        if series.stuck is not None and judged.flag_for_rules is not Flag.FAIL:
            self._follow(series.stuck, member, judged, float(Doubt.STUCK in doubts))
        if series.failing is not None:
            bad = not doubtful_sensor.CANNOT_BE.isdisjoint(doubts)
            count = series.last_twenty.follow(bad=bad)
            if count is not None:
                self._follow(series.failing, member, judged, count)
            if bad:
                self._explain_silence(judged, series.failing.limit.id)

    def _follow(self, signal: Signal, member: str, judged: Judged, value: float) -> None:
        """Most readings say nothing, and change nothing: those are passed over quickly."""
        if not value and self._signals.is_idle(signal.limit.id, member):
            return
        gap = self._sensors[judged.reading.device].overdue_after
        self._signals.follow(signal, member, _told(judged, value, gap))

    def _is_well(self, sensor: Sensor, series: _Series) -> bool:
        signals = [series.stuck, series.failing, *self._batteries.get(sensor.device, ())]
        return all(
            self._signals.are_idle(signal.limit.id) for signal in signals if signal is not None
        )

    def _explain_silence(self, judged: Judged, failing: str) -> None:
        """A sensor of which nothing can be used counts as silent: that is told once."""
        overdue = f"{OVERDUE}{judged.reading.device}"
        if self._alarms.is_active(failing) and self._alarms.is_active(overdue):
            self._alarms.put_down_to(overdue, failing, judged.reading.received_at)

    def _charge(self, sensor: Sensor, judged: Judged, doubts: Sequence[Doubt]) -> None:
        """A dying battery is told by what its sensor measures, which wanders with it."""
        battery = self._batteries.get(sensor.device)
        reading = judged.reading
        if battery is None or judged.flag_for_rules is Flag.FAIL:
            return
        low, dying = battery
        if reading.quantity is Quantity.BATTERY:
            told = _told(judged, reading.value, sensor.overdue_after)
            self._signals.follow(low, reading.quantity, told)
            if reading.value >= battery_low.FRESH_PCT:
                self._signals.let_go_of_all(low.limit.id, reading.measured_at)
        elif reading.quantity is not Quantity.BATTERY_VOLTAGE:
            falls = float(Doubt.BATTERY in doubts)
            self._follow(dying, f"{_DYING} {reading.quantity}", judged, falls)

    def _new(self, sensor: Sensor, quantity: Quantity) -> _Series:
        stuck = failing = None
        moves = quantity in doubtful_sensor.NEVER_STILL
        if moves and self._rules.is_on(doubtful_sensor.STUCK):
            stuck = self._stuck(sensor, quantity)
        if self._rules.is_on(doubtful_sensor.FAILING):
            failing = self._failing(sensor, quantity)
        series = _Series(stuck, failing, sensor.overdue_after)
        self._series[sensor.device, quantity] = series
        return series

    def _expect(self, sensor: Sensor, quantity: Quantity) -> None:
        series = self._new(sensor, quantity)
        for signal in (series.stuck, series.failing):
            if signal is not None and self._alarms.is_active(signal.limit.id):
                self._signals.expect(signal, quantity.value, series.gap)
        low_and_dying = self._batteries.get(sensor.device)
        if low_and_dying is None:
            return
        low, dying = low_and_dying
        if quantity is Quantity.BATTERY:
            self._signals.expect(low, quantity, series.gap)
        elif quantity is not Quantity.BATTERY_VOLTAGE:
            self._signals.expect(dying, f"{_DYING} {quantity}", series.gap)

    def _stuck(self, sensor: Sensor, quantity: Quantity) -> Signal:
        def words(value: float, since: datetime) -> str:
            del value
            return stuck_text(
                sensor.device, quantity, place_name=self._name(sensor), since=since, zone=self._zone
            )

        for_min = self._rules.number(doubtful_sensor.STUCK, "for_min")
        limit = doubtful_sensor.stuck_limit(sensor.device, sensor.place, for_min=for_min)
        return Signal(limit=limit, words=words)

    def _failing(self, sensor: Sensor, quantity: Quantity) -> Signal:
        def words(value: float, since: datetime) -> str:
            return failing_text(
                sensor.device,
                quantity,
                place_name=self._name(sensor),
                bad=round(value),
                since=since,
                zone=self._zone,
            )

        bad = self._rules.number(doubtful_sensor.FAILING, "bad")
        limit = doubtful_sensor.failing_limit(sensor.device, sensor.place, bad=bad)
        return Signal(limit=limit, words=words)

    def _battery(self, sensor: Sensor) -> tuple[Signal, Signal]:
        def low_words(value: float, since: datetime) -> str:
            del since
            return battery_text(sensor.device, place_name=self._name(sensor), percent=value)

        def dying_words(value: float, since: datetime) -> str:
            del value
            return dying_text(
                sensor.device, place_name=self._name(sensor), since=since, zone=self._zone
            )

        below_pct = self._rules.number(battery_low.KIND, "below_pct")
        low = battery_low.battery_limit(sensor.device, sensor.place, below_pct=below_pct)
        dying = battery_low.dying_limit(sensor.device, sensor.place)
        return Signal(limit=low, words=low_words), Signal(limit=dying, words=dying_words)

    def _name(self, sensor: Sensor) -> str:
        return self._place_names.get(sensor.place, sensor.place)

    def _rules_there_are(self) -> frozenset[str]:
        kinds = [kind for kind in _KINDS if kind != battery_low.KIND and self._rules.is_on(kind)]
        told = {f"{kind}:{device}" for kind in kinds for device in self._sensors}
        return frozenset(told | {f"{battery_low.KIND}:{device}" for device in self._batteries})


def _told(judged: Judged, value: float, gap: timedelta) -> Newest:
    """Doubts are what is told here: they are believed."""
    reading = judged.reading
    return Newest(reading.measured_at, value, Flag.PASS, reading.received_at, gap)
