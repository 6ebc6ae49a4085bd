"""Which dangers a recording holds, and when each is to be told: by its messages and nothing else.

None of the service's code is in here. Setpoints, delays and intervals are those of the
configuration beside a simulated recording; what the rules promise is told again in few words:
a breach that lasts so long is told then, a gap between readings counts for three intervals at
most, and one good reading begins it anew.

Dew point: the Magnus formula of Alduchov & Eskridge, J. Appl. Meteor. 35 (1996) 601-609, over
water. A danger has to reach past what another formula may differ by.
"""

import json
import math
from collections import defaultdict, deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

MINUTE = timedelta(minutes=1)
DARK_BELOW_LX = 20.0
_DARK_FOR = 10 * MINUTE
_HOUR = timedelta(hours=1)
_LIT_LX = 3.0 * DARK_BELOW_LX
_FORMULAS_DIFFER_K = 0.05
_MIDST_OF_NIGHT = (time(23, 30), time(3, 30))


@dataclass(frozen=True, slots=True, kw_only=True)
class Danger:
    """What has to be told at ``due``, if not before; it goes on from ``since`` to ``until``."""

    rule: str
    since: datetime
    due: datetime
    until: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One message: of whom, measured and arrived when, and its numbers by their names."""

    device: str
    at: datetime
    arrived_at: datetime
    values: Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class House:
    """What the configuration says of the shed; ``overdue_after`` of each sender."""

    overdue_after: Mapping[str, timedelta]
    zone: ZoneInfo
    on: time
    off: time
    dim: timedelta
    cold_c: float = 5.0
    hot_c: float = 28.0
    damp_pct: float = 80.0
    dry_pct: float = 30.0
    surface_factor: float = 0.5
    air: str = "th-shed"
    outdoors: str = "th-outdoors"
    pane: str = "t-pane"
    mains: str = "mains"

    def lit(self, at: datetime) -> bool:
        """Whether the lamps are meant to burn at full."""
        begins, ends = self._burning(at)
        return begins + self.dim <= at < ends - self.dim

    def burning(self, at: datetime) -> bool:
        """Whether the lamps are meant to burn at all."""
        begins, ends = self._burning(at)
        return begins <= at < ends

    def midst_of_night(self, at: datetime) -> bool:
        """Whether neither lamps nor the longest summer's day could be light now."""
        begins, ends = _MIDST_OF_NIGHT
        local = at.astimezone(self.zone).time()
        return local >= begins or local < ends

    def _burning(self, at: datetime) -> tuple[datetime, datetime]:
        day = at.astimezone(self.zone).date()
        return self._instant(day, self.on), self._instant(day, self.off)

    def _instant(self, day: date, at: time) -> datetime:
        return datetime.combine(day, at, self.zone).astimezone(UTC)


@dataclass(slots=True)
class _Run:
    """A breach that goes on, reading by reading."""

    rule: str
    delay: timedelta
    max_gap: timedelta
    since: datetime | None = None
    last: datetime | None = None
    lasted: timedelta = timedelta(0)
    due: datetime | None = None
    found: list[Danger] = field(default_factory=list)

    def follow(self, at: datetime, *, breached: bool) -> None:
        """One reading."""
        if self.since is not None and self.last is not None:
            self._let_pass(at)
        if not breached:
            self.end(at)
            return
        self.last = at
        if self.since is None:
            self.since, self.lasted, self.due = at, timedelta(0), None

    def end(self, at: datetime) -> None:
        """It is over, or nobody can tell any more."""
        if self.since is not None and self.due is not None:
            self.found.append(Danger(rule=self.rule, since=self.since, due=self.due, until=at))
        self.since = self.due = None

    def dangers(self, until: datetime) -> list[Danger]:
        """All of them; ``until`` is when the recording ends."""
        if self.since is not None:
            self._let_pass(until)
        self.end(until)
        return self.found

    def _let_pass(self, to: datetime) -> None:
        if self.last is None or self.due is not None:
            return
        missing = self.delay - self.lasted
        passed = min(to - self.last, self.max_gap)
        if missing <= passed and self.last + missing < to:
            self.due = self.last + missing
        self.lasted += passed


def told_by(messages: Iterable[tuple[datetime, bytes]]) -> Iterator[Told]:
    """Messages in SenML (RFC 8428) as they are written: one record holds the base time.

    ``messages`` are times of arrival and payloads.
    """
    for arrived_at, payload in messages:
        records = json.loads(payload)
        at = datetime.fromtimestamp(records[0]["bt"], UTC)
        values = {record["n"]: record["v"] for record in records if "v" in record}
        device = records[0]["bn"].rstrip(":")
        yield Told(device=device, at=at, arrived_at=arrived_at, values=values)


def dangers(told: Sequence[Told], house: House, until: datetime) -> list[Danger]:
    """All dangers of a recording that ends at ``until``, in the order in which they are due."""
    by_device: dict[str, list[Told]] = defaultdict(list)
    for one in told:
        by_device[one.device].append(one)
    for each in by_device.values():
        each.sort(key=lambda one: one.at)
    air = by_device[house.air]
    found = [
        *_of_air(air, house, until),
        *_of_lamps(air, house, until),
        *_of_water(by_device, house, until),
        *_of_power(by_device, house, until),
        *_of_silence(told, house, until),
    ]
    return sorted((one for one in found if one.due <= until), key=lambda one: one.due)


def _of_air(air: Sequence[Told], house: House, until: datetime) -> Iterator[Danger]:
    gap = house.overdue_after[house.air]
    cold = _Run("cold-night", 10 * MINUTE, gap)
    hot = _Run("hot", 10 * MINUTE, gap)
    damp = _Run("damp", 30 * MINUTE, gap)
    dry = _Run("dry", 60 * MINUTE, gap)
    nights = _nights(air, house)
    for one, night in zip(air, nights, strict=True):
        warmth, damp_pct = one.values["temperature"], one.values["humidity"]
        cold.follow(one.at, breached=night and warmth < house.cold_c)
        hot.follow(one.at, breached=warmth > house.hot_c)
        damp.follow(one.at, breached=damp_pct > house.damp_pct)
        dry.follow(one.at, breached=damp_pct < house.dry_pct)
    for run in (cold, hot, damp, dry):
        yield from run.dangers(until)


def _nights(air: Sequence[Told], house: House) -> Iterator[bool]:
    """For each reading of light whether it is night: dark for ten minutes, and not bright since
    for as long. Until that is known the lamps' times say it.
    """
    gap = max(house.overdue_after[house.air], _DARK_FOR)
    is_night: bool | None = None
    dark: bool | None = None
    since = last = datetime.min.replace(tzinfo=UTC)
    for one in air:
        if one.at - last > gap:
            is_night = dark = None
        now_dark = one.values["light"] < DARK_BELOW_LX
        if now_dark is not dark:
            dark, since = now_dark, one.at
        if one.at - since >= _DARK_FOR:
            is_night = dark
        last = one.at
        yield not house.burning(one.at) if is_night is None else is_night


def _of_lamps(air: Sequence[Told], house: House, until: datetime) -> Iterator[Danger]:
    gap = house.overdue_after[house.air]
    dark = _Run("dark-by-day:shed", 20 * MINUTE, gap)
    light = _Run("light-by-night:shed", 45 * MINUTE, gap)
    for one in air:
        lux = one.values["light"]
        dark.follow(one.at, breached=house.lit(one.at) and lux < DARK_BELOW_LX)
        light.follow(one.at, breached=house.midst_of_night(one.at) and lux > DARK_BELOW_LX)
    yield from dark.dangers(until)
    yield from light.dangers(until)


def _of_water(
    by_device: Mapping[str, Sequence[Told]], house: House, until: datetime
) -> Iterator[Danger]:
    run = _Run("condensation:shed", 30 * MINUTE, house.overdue_after[house.air])
    three = (house.air, house.outdoors, house.pane)
    newest: dict[str, Told] = {}
    for one in sorted(
        (one for device in three for one in by_device.get(device, ())), key=lambda one: one.at
    ):
        newest[one.device] = one
        if one.device == house.outdoors:
            continue
        margin = _margin_k(newest, house, one.at)
        if margin is not None:
            run.follow(one.at, breached=margin < -_FORMULAS_DIFFER_K)
    yield from run.dangers(until)


def _margin_k(newest: Mapping[str, Told], house: House, at: datetime) -> float | None:
    held = {
        device: one.values
        for device, one in newest.items()
        if at - one.at <= house.overdue_after[device]
    }
    if house.air not in held:
        return None
    inside = held[house.air]["temperature"]
    if house.pane in held:
        surface = held[house.pane]["temperature"]
    elif house.outdoors in held:
        outdoors = held[house.outdoors]["temperature"]
        surface = min(inside, outdoors + house.surface_factor * (inside - outdoors))
    else:
        return None
    return surface - dew_point_c(inside, held[house.air]["humidity"])


def dew_point_c(air_c: float, humidity_pct: float) -> float:
    """The dew point over water [°C]."""
    told = math.log(humidity_pct / 100.0) + 17.625 * air_c / (243.04 + air_c)
    return 243.04 * told / (17.625 - told)


def _of_power(
    by_device: Mapping[str, Sequence[Told]], house: House, until: datetime
) -> Iterator[Danger]:
    if house.mains in house.overdue_after:
        run = _Run("power-cut:shed", 2 * MINUTE, house.overdue_after[house.mains])
        for one in by_device.get(house.mains, ()):
            run.follow(one.at, breached=one.values["mains"] < 0.5)
        yield from run.dangers(until)
        return
    yield from _by_lamps_and_cold(by_device[house.air], house, until)


def _by_lamps_and_cold(air: Sequence[Told], house: House, until: datetime) -> Iterator[Danger]:
    """Lamps out at a stroke, and within the hour colder than in the three hours before."""
    gap = house.overdue_after[house.air]
    run = _Run("power-cut:shed", 5 * MINUTE, gap)
    before: deque[Told] = deque()
    stroke: datetime | None = None
    again_lx = lowest = 0.0
    for one in air:
        warmth, lux = one.values["temperature"], one.values["light"]
        last = before[-1] if before else None
        if stroke is not None and (lux >= again_lx or one.at - stroke > _HOUR):
            stroke = None
            run.end(one.at)
        elif stroke is None and last is not None and _went_out(last, one, house, gap):
            heard = [each.values["temperature"] for each in before]
            if one.at - before[0].at >= 2 * _HOUR + 5 * MINUTE:
                stroke, again_lx = one.at, last.values["light"] / 2.0
                lowest = min(*heard, warmth)
        if stroke is not None:
            run.follow(one.at, breached=warmth - lowest < -0.3)
        before.append(one)
        while one.at - before[0].at > 3 * _HOUR:
            before.popleft()
    yield from run.dangers(until)


def _went_out(last: Told, one: Told, house: House, gap: timedelta) -> bool:
    lit = house.lit(last.at) and house.lit(one.at) and one.at - last.at <= gap
    before, now = last.values["light"], one.values["light"]
    return lit and before >= _LIT_LX and 5.0 * now <= before


def _of_silence(told: Sequence[Told], house: House, until: datetime) -> Iterator[Danger]:
    arrivals: dict[str, list[datetime]] = defaultdict(list)
    for one in told:
        arrivals[one.device].append(one.arrived_at)
    for device, allowed in house.overdue_after.items():
        for last, following in pairwise([*sorted(arrivals[device]), until]):
            if following - last > allowed:
                yield Danger(
                    rule=f"overdue:{device}", since=last, due=last + allowed, until=following
                )
