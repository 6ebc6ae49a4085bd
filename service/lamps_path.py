"""Lamps that did not come on, went out, or burn at night; days that became shorter."""

import logging
from collections.abc import Sequence
from datetime import UTC, datetime, time, timedelta

from devices.reading import Quantity
from devices.sensor import Sensor
from service.alarm_path import AlarmPath, Raised
from service.alarms.lamp_words import light_text, not_on_text, shortened_text, went_out_text
from service.climate.light_cycle import light_days
from service.climate.light_plan import LightPlan
from service.errors import StoreUnavailableError
from service.followed_signals import FollowedSignals, Signal
from service.nests.place import Place, PlaceKind
from service.newest import Newest, keep, newest_of
from service.quality.flag import Flag, Judged
from service.rules import dark_by_day, day_shortened, light_by_night
from service.rules.limit import Assessment, Priority
from service.rules.planned_lamps import Meant, PlannedLamps
from service.rules.rule_settings import RuleSettings
from service.store.reading_store import ReadingStore
from service.stored_readings import stored_readings

log = logging.getLogger(__name__)

_KINDS = frozenset((dark_by_day.KIND, light_by_night.KIND))
_LUX = Quantity.ILLUMINANCE
_LIGHT = "light"
"""All light sensors of a shed tell one signal: the brightest of them."""

_LOOKED_AT = time(7, 0)
"""Whether a day was short is told in the morning after it: it can wait, and people sleep."""

_ON_TIME = timedelta(minutes=5)
"""Dark so soon after they should be full, they never came on."""

_AGAIN_AFTER = timedelta(minutes=10)
_REACHES_BACK = timedelta(hours=6)
_DAY = timedelta(days=1)
_LONG_TOLD = timedelta(hours=32)
"""From the look at a day back to its morning."""


class _Shed:
    """The rules of one shed that are on, and what its light sensors said last, by device."""

    def __init__(
        self, place: Place, rules: RuleSettings, plan: LightPlan, lamps: PlannedLamps
    ) -> None:
        self.id = place.id
        self.name = place.name
        self.lux: dict[str, Newest] = {}
        self.told_dark_at: datetime | None = None
        self._lamps = lamps
        self._zone = plan.site.timezone
        dark, light = dark_by_day.KIND, light_by_night.KIND
        self.on_dark = self.on_light = None
        if lamps.has_lamps and rules.is_on(dark):
            limit = dark_by_day.dark_limit(
                self.id, threshold_lx=plan.threshold_lx, for_min=rules.number(dark, "for_min")
            )
            self.on_dark = Signal(limit=limit, words=self._dark_words, weighs=self._dark_weighs)
        if lamps.has_lamps and rules.is_on(light):
            limit = light_by_night.light_limit(
                self.id, threshold_lx=plan.threshold_lx, for_min=rules.number(light, "for_min")
            )
            self.on_light = Signal(limit=limit, words=self._light_words)

    def _dark_words(self, value: float, since: datetime) -> str:
        del value
        burning = self._lamps.burning(since)
        if burning is not None and not self._went_out(since):
            return not_on_text(place_name=self.name, on_at=burning.on_at, zone=self._zone)
        off_at = since if burning is None else burning.off_at
        return went_out_text(place_name=self.name, off_at=off_at, since=since, zone=self._zone)

    def _dark_weighs(self, since: datetime) -> Priority:
        """Hens that sit in their box when it stays dark are safe; those caught outside are not."""
        return dark_by_day.WENT_OUT if self._went_out(since) else dark_by_day.RATIONALE.priority

    def _went_out(self, since: datetime) -> bool:
        """They burned, and went out before their time."""
        burning = self._lamps.burning(since)
        return burning is None or since > burning.full_at + _ON_TIME

    def _light_words(self, value: float, since: datetime) -> str:
        return light_text(place_name=self.name, lux=value, since=since, zone=self._zone)


class LampsPath:
    """The light of all sheds of one keeper, against what is planned for it."""

    def __init__(
        self,
        *,
        rules: RuleSettings,
        places: Sequence[Place],
        sensors: Sequence[Sensor],
        plan: LightPlan,
        alarms: AlarmPath,
    ) -> None:
        self._rules = rules
        self._sensors = {sensor.device: sensor for sensor in sensors}
        self._plan = plan
        self._alarms = alarms
        self._signals = FollowedSignals(alarms)
        self._lamps = PlannedLamps(plan)
        self._sheds = {
            place.id: _Shed(place, rules, plan, self._lamps)
            for place in places
            if place.kind is PlaceKind.SHED
        }
        self._store: ReadingStore | None = None
        self._look_at: datetime | None = None

    def restore(self, store: ReadingStore, now: datetime) -> None:
        """Take up where the stored readings and the open alarms left off."""
        self._store = store
        self._signals.forget()
        for shed in self._sheds.values():
            shed.lux.clear()
        self._signals.end_what_is_gone(_KINDS, self._rules_there_are(), now)
        self._signals.end_what_is_gone((day_shortened.KIND,), self._days_there_are(), now)
        wanted = frozenset((shed, _LUX) for shed in self._sheds)
        with self._signals.taking_up(now):
            for judged in stored_readings(store, self._sensors, wanted, now - _REACHES_BACK, now):
                self.reading(judged)
            self._pass_over(store, now)
        self._look_at = self._next_look(now) if self._days_there_are() else None

    def reading(self, judged: Judged) -> None:
        """Follow one reading."""
        reading = judged.reading
        if reading.quantity is not _LUX:
            return
        shed = self._sheds.get(reading.place)
        sensor = self._sensors.get(reading.device)
        newest = None if sensor is None else newest_of(judged, sensor)
        if shed is None or newest is None:
            return
        keep(shed.lux, reading.device, newest)
        # None holds where this one is older than what was heard since: it tells of the past.
        holding = [one for one in shed.lux.values() if one.holds(newest.at)]
        if holding:
            self._follow(shed, newest, max(holding, key=lambda one: one.value))

    def next_deadline(self) -> datetime | None:
        """Not later than the next time at which something is due without a reading."""
        deadlines = [at for at in (self._signals.next_deadline(), self._look_at) if at is not None]
        return min(deadlines, default=None)

    def tick(self, now: datetime) -> None:
        """Let the on-delays run to ``now``, and look at the day that is over."""
        self._signals.tick(now)
        if self._look_at is not None and self._look_at <= now:
            at = self._look_at
            self._look_at = self._next_look(now)
            try:
                for shed in self._sheds.values():
                    self._look_at_days(shed, at)
            except StoreUnavailableError as error:
                log.warning("the days' light can't be looked at yet: %s", error)
                self._look_at = now + _AGAIN_AFTER

    def _pass_over(self, store: ReadingStore, now: datetime) -> None:
        """What is stored was followed once: should it come again, it is history."""
        for one in store.latest():
            shed = self._sheds.get(one.series.place)
            if shed is None or one.series.quantity is not _LUX or one.measured_at > now:
                continue
            for signal in (shed.on_dark, shed.on_light):
                if signal is not None:
                    self._signals.expect(signal, _LIGHT, self._plan.dark_for)
                    self._signals.passed_over(signal.limit.id, _LIGHT, one.measured_at)

    def _follow(self, shed: _Shed, newest: Newest, brightest: Newest) -> None:
        meant = self._lamps.meant(newest.at) if self._lamps.has_lamps else Meant.EITHER
        told = newest._replace(value=brightest.value, flag=brightest.flag)
        # At other times nobody can tell whether the lamps would burn: the alarm stays. While they
        # dim, light tells that they do burn, and dark tells nothing.
        if shed.on_dark is not None and (
            meant is Meant.LIT or self._burns(newest.at, brightest.value)
        ):
            self._signals.follow(shed.on_dark, _LIGHT, told)
            if self._signals.is_active(shed.on_dark.limit.id, _LIGHT):
                shed.told_dark_at = newest.at
        if shed.on_light is not None:
            dark = meant is Meant.DARK
            # By day it is over, however doubtful the reading that comes by then.
            told = told if dark else told._replace(flag=Flag.PASS)
            self._signals.follow(shed.on_light, _LIGHT, told, in_force=dark)

    def _burns(self, at: datetime, lux: float) -> bool:
        """Whether it is light while the lamps are meant to burn, if not at full."""
        return lux >= 2.0 * self._plan.threshold_lx and self._lamps.burning(at) is not None

    def _look_at_days(self, shed: _Shed, at: datetime) -> None:
        """Whether yesterday was much shorter than the days before it."""
        store, rule = self._store, f"{day_shortened.KIND}:{shed.id}"
        if store is None or rule not in self._days_there_are():
            return
        yesterday = at.astimezone(self._plan.site.timezone).date() - _DAY
        first = yesterday - _DAY * day_shortened.DAYS_BEFORE
        for series in store.series():
            sensor = self._sensors.get(series.device)
            if series.place == shed.id and series.quantity is _LUX and sensor is not None:
                days = light_days(
                    store.samples(series.id, at - _DAY * (day_shortened.DAYS_BEFORE + 3), at),
                    self._plan,
                    first,
                    yesterday,
                    max_gap=sensor.overdue_after,
                    now=at,
                )
                by = timedelta(minutes=self._rules.number(day_shortened.KIND, "by_min"))
                self._judge_day(shed, rule, day_shortened.shortened(days, by), at)
                return

    def _judge_day(
        self, shed: _Shed, rule: str, found: day_shortened.Shortened, at: datetime
    ) -> None:
        if found.assessment is Assessment.CLEAR:
            self._alarms.clear(rule, at)
        if found.assessment is not Assessment.BREACHED or _was_told(shed, at):
            return
        light, usual = found.light or timedelta(0), found.usual or timedelta(0)
        yesterday = at.astimezone(self._plan.site.timezone).date() - _DAY
        self._alarms.raise_(
            Raised(
                rule=rule,
                place=shed.id,
                priority=day_shortened.RATIONALE.priority,
                at=at,
                value=light / timedelta(hours=1),
                setpoint=usual / timedelta(hours=1),
                text=shortened_text(
                    place_name=shed.name,
                    light=light,
                    usual=usual,
                    day_name=f"{yesterday:%a} {yesterday.day} {yesterday:%b}",
                ),
            )
        )

    def _next_look(self, now: datetime) -> datetime:
        local = now.astimezone(self._plan.site.timezone)
        day = local.date() if local.time() < _LOOKED_AT else local.date() + _DAY
        return datetime.combine(day, _LOOKED_AT, self._plan.site.timezone).astimezone(UTC)

    def _days_there_are(self) -> frozenset[str]:
        if not self._rules.is_on(day_shortened.KIND):
            return frozenset()
        return frozenset(f"{day_shortened.KIND}:{shed}" for shed in self._sheds_with_eyes())

    def _rules_there_are(self) -> frozenset[str]:
        with_eyes = self._sheds_with_eyes()
        return frozenset(
            signal.limit.id
            for shed in self._sheds.values()
            if shed.id in with_eyes
            for signal in (shed.on_dark, shed.on_light)
            if signal is not None
        )

    def _sheds_with_eyes(self) -> frozenset[str]:
        """Sheds with a sensor that may tell light: which of them do, only their readings show."""
        return frozenset(one.place for one in self._sensors.values() if one.place in self._sheds)


def _was_told(shed: _Shed, at: datetime) -> bool:
    """Whether it was told on the day that is over that the lamps don't burn."""
    return shed.told_dark_at is not None and at - shed.told_dark_at < _LONG_TOLD
