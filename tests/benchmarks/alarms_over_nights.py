"""Whether every danger is told in time, and nothing else: figures of the rules together.

    .venv/bin/python -m tests.benchmarks.alarms_over_nights [--nights 200] [--seed 1]

Simulated messages go through the whole replayed walk into files of their own. What is to be
told, and when, is reckoned from the very messages by ``dangers_reckoned.py``. Bars: every
danger of drawn nights is raised within 10 s of when its delay is over; a normal spring week has
an alarm a day at most and none by night; noise at a setpoint gives one cycle an hour at most;
forty sensors that fall silent together are one alarm that lists them; the past, delivered late,
raises nothing as the present. The exit code is 1 where one is missed. Times are those of
events; a danger of every second shed is looked for once more in a recording that ends when it
has to be there.
"""

import argparse
import math
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from devices.formats.senml import pack
from devices.message import Message
from service.alarms.alarm import Alarm
from service.commands.replaying import replay_messages
from service.settings.load import read_file
from service.wiring import open_shed
from simulated_feeds.days import Shed
from simulated_feeds.happening import Happening, What
from simulated_feeds.records.configuration import CONFIGURATION_FILE, config_toml
from simulated_feeds.scenario_files.reading import scenario_of
from simulated_feeds.scenario_files.scenario import Scenario
from simulated_feeds.stream import messages
from tests.benchmarks.dangers_reckoned import Danger, House, dangers, told_by
from tests.benchmarks.drawn_nights import NIGHTS_A_SHED, drawn_scenario

WITHIN = timedelta(seconds=10)
DAY, HOUR, MINUTE = timedelta(days=1), timedelta(hours=1), timedelta(minutes=1)
_NOW = datetime(2026, 6, 1, tzinfo=UTC)
# A silent sensor is told whatever it delivers later.
_OF_SILENCE = ("overdue", "broker")
_HIDES = {
    "dark-by-day": ("power-cut",),
    "overdue": ("power-cut", "overdue-together", "broker"),
    "overdue-together": ("power-cut",),
}

_Happens = tuple[What, float, float, float | None]
# What happens from and to which hour after noon; in which month.
_DAYS: dict[str, tuple[int, tuple[_Happens, ...]]] = {
    "cold": (2, ((What.COLD_NIGHT, 1, 18, -9.0), (What.HEATER_FAILS, 0, 16, None))),
    "hot": (7, ((What.HEAT_WAVE, 0, 8, 38.0),)),
    "damp": (3, ((What.DAMP_NIGHT, 0, 12, 16.0), (What.VENT_STUCK_SHUT, 0, 12, None))),
    "damp still": (3, ((What.DAMP_NIGHT, 0, 27, 16.0), (What.VENT_STUCK_SHUT, 0, 27, None))),
    "lamps failed": (3, ((What.LAMPS_FAIL, 1, 6, None),)),
    "lamps at midnight": (3, ((What.LAMPS_ON, 11, 14, None),)),
    "power cut": (2, ((What.POWER_CUT, 4, 7, None),)),
    "all": (
        2,
        (
            (What.POWER_CUT, 3, 5, None),
            (What.COLD_NIGHT, 1, 17, -9.0),
            (What.HEATER_FAILS, 0, 15, None),
            (What.LAMPS_ON, 12, 14, None),
        ),
    ),
}

# Of the built-in limits; and the damp [%] at which water settles on what is 4 K below the air.
_SETPOINTS = {"cold": 5.0, "hot": 30.0, "damp": 80.0, "dry": 40.0, "wet": 77.45}


@dataclass(slots=True)
class Report:
    """What was found; ``missed`` are bars."""

    missed: list[str] = field(default_factory=list)

    def bar(self, name: str, figure: str, *, held: bool) -> None:
        """Print one."""
        print(f"{name}: {figure}: {'held' if held else 'MISSED'}", flush=True)
        if not held:
            self.missed.append(name)


def sent(scenario: Scenario) -> list[Message]:
    """All messages of a scenario."""
    told = messages(
        Shed(scenario).days(),
        scenario.senders,
        seed=scenario.seed,
        happenings=scenario.happenings,
        until=scenario.origin,
    )
    return [Message(topic=one.topic, payload=one.payload, received_at=one.at) for one in told]


def raised(configuration: str, told: Iterable[Message]) -> list[Alarm]:
    """All alarms after the messages went through the walk, as they were raised."""
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder)
        (data / CONFIGURATION_FILE).write_text(configuration, encoding="utf-8")
        settings, stores = open_shed(read_file(None, data), data, writer=True)
        try:
            replay_messages(told, settings, data, stores)
            kept = stores.records.alarms.alarms(None, None)
        finally:
            stores.close()
    return sorted(kept, key=lambda alarm: alarm.raised_at)


def house_of(scenario: Scenario) -> House:
    """What the reckoning goes by."""
    lamps = scenario.lamps
    return House(
        overdue_after={one.device: 3 * one.message_interval for one in scenario.senders},
        zone=scenario.zone,
        on=lamps.on,
        off=lamps.off,
        dim=lamps.dim,
        cold_c=scenario.limits.cold_c,
        damp_pct=scenario.limits.damp_pct,
        surface_factor=round(1.0 - scenario.building.surface_share, 3),
    )


def reckoned(told: Sequence[Message], house: House) -> list[Danger]:
    """The dangers in messages that all came."""
    until = told[-1].received_at
    return dangers(
        list(told_by((one.received_at, one.payload) for one in told)), house, until - WITHIN
    )


def answer_to(danger: Danger, alarms: Sequence[Alarm]) -> Alarm | None:
    """The alarm that tells of it in time: raised by then, and not over before."""
    for alarm in alarms:
        is_over = alarm.cleared_at is not None and alarm.cleared_at < danger.due
        if alarm.rule == danger.rule and alarm.raised_at <= danger.due + WITHIN and not is_over:
            return alarm
    return None


def is_told(alarm: Alarm, alarms: Sequence[Alarm]) -> bool:
    """Whether a person is told of it in time, or of what is behind it."""
    if alarm.told_at is not None and alarm.told_at <= alarm.raised_at + WITHIN:
        return True
    kinds = _HIDES.get(_kind(alarm), ())
    return any(
        _kind(other) in kinds
        and other.told_at is not None
        and other.raised_at <= alarm.raised_at + WITHIN
        and (other.cleared_at is None or other.cleared_at >= alarm.raised_at)
        for other in alarms
    )


def drawn_nights(nights: int, seed: int, report: Report) -> None:
    """Every danger of drawn nights is raised in time."""
    count: Counter[str] = Counter()
    faults: list[str] = []
    unasked: Counter[str] = Counter()
    latest = timedelta(0)
    cut = 0
    sheds = math.ceil(nights / NIGHTS_A_SHED)
    for number in range(sheds):
        with tempfile.TemporaryDirectory() as folder:
            scenario = drawn_scenario(seed, number, Path(folder))
        told = sent(scenario)
        alarms = raised(config_toml(scenario), told)
        found = reckoned(told, house_of(scenario))
        for danger in found:
            alarm = answer_to(danger, alarms)
            count[danger.rule.partition(":")[0]] += 1
            if alarm is None or not is_told(alarm, alarms):
                why = "is not raised" if alarm is None else "is not told"
                faults.append(f"shed {number}: {danger.rule} due {danger.due} {why}")
                print(f"  {faults[-1]}", flush=True)
            else:
                latest = max(latest, alarm.raised_at - danger.due)
        unasked.update(_kind(alarm) for alarm in alarms if not _asked_for(alarm, found))
        if found and number % 2 == 0:
            chosen = Random(f"{seed}:{number}").choice(found)
            heard_no_more = raised(config_toml(scenario), _up_to(told, chosen.due + WITHIN))
            cut += 1
            if answer_to(chosen, heard_no_more) is None:
                faults.append(f"shed {number}: {chosen.rule} due {chosen.due} is not there by then")
                print(f"  {faults[-1]}", flush=True)
        if number % 5 == 4:
            print(f"  {(number + 1) * NIGHTS_A_SHED} nights, {count.total()} dangers", flush=True)
    print(f"  dangers: {dict(sorted(count.items()))}")
    print(f"  raised beside them: {dict(sorted(unasked.items()))}")
    print(f"  {cut} of them looked for again in what had come 10 s after they were due")
    figure = f"{len(faults)} of {count.total()} missed, latest {latest.total_seconds():g} s late"
    report.bar(
        f"dangers of {sheds * NIGHTS_A_SHED} nights", figure, held=not faults and bool(count)
    )


def _up_to(told: Sequence[Message], now: datetime) -> list[Message]:
    """What came until now, and a stranger's word that lets the clock go on to now."""
    return [one for one in told if one.received_at < now] + [
        _message("a-stranger", now, temperature=(18.0, "Cel"))
    ]


def _asked_for(alarm: Alarm, found: Sequence[Danger]) -> bool:
    over = alarm.cleared_at or datetime.max.replace(tzinfo=UTC)
    return any(
        one.rule == alarm.rule and one.since - WITHIN <= over and alarm.raised_at <= one.until
        for one in found
    )


def spring_weeks(weeks: int, seed: int, report: Report) -> None:
    """Weeks of spring in which nothing is wrong."""
    told: list[Alarm] = []
    by_night = 0
    for number in range(weeks):
        week = scenario_of("quiet-week", _NOW, seed=1000 * seed + number)
        moved = timedelta(days=(0, -14, -28, 10)[number % 4])
        week = replace(week, start=week.start + moved, origin=week.origin + moved)
        for alarm in raised(config_toml(week), sent(week)):
            if alarm.told_at is None:
                continue
            told.append(alarm)
            at = alarm.told_at.astimezone(week.zone)
            by_night += at.hour >= 22 or at.hour < 7
            print(f"  week {number}: {alarm.rule} {alarm.priority.value} told {at}: {alarm.text}")
    figure = f"{len(told) / (7 * weeks):.2f} alarms a day, {by_night} by night"
    held = len(told) <= 7 * weeks and by_night == 0
    report.bar(f"{weeks} normal spring weeks", figure, held=held)


_NOISE_SHED = """
[shed]
id = "hazel"
latitude = 53.2
longitude = 6.6
timezone = "Europe/Amsterdam"
[light]
on = "06:30"
off = "20:30"
[surface]
below_air_c = 4.0
[[place]]
id = "shed"
kind = "shed"
[[sensor]]
device = "th-shed"
place = "shed"
interval = "60 s"
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Hovering:
    """A value about a built-in limit: off it by ``above`` in the mean, with noise (standard
    deviation) and a wave of an hour and a half.
    """

    kind: str
    above: float
    noise: float
    wave: float

    def messages(self, hours: int, draw: Random) -> Iterator[Message]:
        """One a minute."""
        setpoint = _SETPOINTS[self.kind]
        for minute in range(hours * 60):
            at = _NOW + minute * MINUTE
            value = setpoint + self.above + draw.gauss(0.0, self.noise)
            value += self.wave * math.sin(2.0 * math.pi * minute / 90.0)
            warmth, damp = (value, 60.0) if self.kind in ("cold", "hot") else (18.0, value)
            yield _message(
                "th-shed", at, temperature=(warmth, "Cel"), relative_humidity=(damp, "%RH")
            )


def noise_at_setpoints(hours: int, seed: int, report: Report) -> None:
    """A value that hovers at a limit: how often its alarm comes and goes."""
    most = 0.0
    cases = [
        _Hovering(kind=kind, above=above * spread, noise=noise * spread, wave=wave * spread)
        for kind, spread in (("cold", 1.0), ("hot", 1.0), ("damp", 6.0), ("dry", 6.0), ("wet", 3.0))
        for above in (-0.25, 0.0, 0.25, 0.5)
        for noise in (0.03, 0.2)
        for wave in (0.0, 0.25, 0.5)
    ]
    for number, case in enumerate(cases):
        alarms = raised(_NOISE_SHED, case.messages(hours, Random(f"{seed}:{number}")))
        rule, times = max(Counter(alarm.rule for alarm in alarms).items(), default=("", 0), key=_n)
        if times > hours / 2:
            print(f"  {case}: {rule} {times} times in {hours} h")
        most = max(most, times / hours)
    figure = f"{most:.2f} cycles an hour at most of {len(cases)}"
    report.bar("noise at a setpoint", figure, held=most <= 1.0)


def _n(counted: tuple[str, int]) -> int:
    return counted[1]


def _message(device: str, at: datetime, **values: tuple[float, str]) -> Message:
    topic = f"clutchweather/{device}/senml"
    return Message(topic=topic, payload=pack(device, values, at), received_at=at)


def forty_silent(seed: int, report: Report) -> None:
    """Forty sensors stop at one instant, while another one is heard."""
    for name, intervals in (("a minute apart", (60,)), ("1 to 10 min", (60, 120, 300, 600))):
        draw = Random(f"{seed}:{name}")
        every = {f"th-{n:02}": draw.choice(intervals) for n in range(40)}
        stops = _NOW + 3 * HOUR
        told = [
            _message(
                device, _NOW + timedelta(seconds=s), temperature=(18.0 + 0.5 * draw.random(), "Cel")
            )
            for device, interval in every.items()
            for s in range(draw.randrange(interval), 3 * 3600, interval)
        ]
        told += [
            _message("th-shed", _NOW + n * MINUTE, temperature=(18.0 + 0.5 * draw.random(), "Cel"))
            for n in range(6 * 60)
        ]
        told.sort(key=lambda one: one.received_at)
        alarms = raised(_NOISE_SHED + _forty(every), told)
        spoken = [one for one in alarms if one.told_at is not None]
        lists = sum(device in spoken[0].text for device in every) if spoken else 0
        after = (spoken[0].raised_at - stops).total_seconds() / 60 if spoken else math.nan
        for one in spoken[1:]:
            print(f"  told too: {one.rule} {one.raised_at}: {one.text}")
        figure = f"{len(spoken)} told, lists {lists}, after {after:.1f} min"
        report.bar(f"40 silent at once, {name}", figure, held=len(spoken) == 1 and lists == 40)


def _forty(every: dict[str, int]) -> str:
    return "".join(
        f'[[place]]\nid = "{device}-at"\nkind = "box"\nin = "shed"\n'
        f'[[sensor]]\ndevice = "{device}"\nplace = "{device}-at"\ninterval = "{interval} s"\n'
        for device, interval in every.items()
    )


def backlogs(seed: int, report: Report) -> None:
    """A day full of dangers comes at once when all is over: of one sensor, and of all."""
    live = present = past = had = 0
    for number, (name, (month, happens)) in enumerate(_DAYS.items()):
        scenario = _day_of(month, happens, seed + number)
        told = sent(scenario)
        comes = scenario.origin - 3 * HOUR
        found = reckoned(told, house_of(scenario))
        for who in ("th-shed", None):
            late = sorted((_late(one, comes, who) for one in told), key=_arrival)
            had += sum(comes - DAY < one.since and one.until < comes for one in found)
            for alarm in raised(config_toml(scenario), late):
                if alarm.told_at is None or _kind(alarm).startswith(_OF_SILENCE):
                    continue
                if alarm.text.startswith("While nobody listened"):
                    past += 1
                    continue
                is_past = alarm.raised_at < comes <= alarm.told_at and not any(
                    one.rule == alarm.rule and one.until >= comes - HOUR for one in found
                )
                live += is_past
                present += not is_past
                said = "of the past" if is_past else "of its time"
                told_when = f"{alarm.rule} at {alarm.raised_at}, told {alarm.told_at}"
                print(f"  {name}, {who or 'all'}: {said}: {told_when}: {alarm.text}")
    figure = f"{live} told live, {past} once as past, of {had} that were over; {present} that last"
    report.bar("backlogs of 24 h", figure, held=live == 0 and past > 0 and present > 0)


def _arrival(one: Message) -> datetime:
    return one.received_at


def _day_of(month: int, happens: Sequence[_Happens], seed: int) -> Scenario:
    """Three days from noon to noon; on the last of them things happen."""
    usual = scenario_of("quiet-week", _NOW, seed=seed)
    start = datetime(2026, month, 9, 11, tzinfo=UTC)
    return replace(
        usual,
        start=start,
        origin=start + 3 * DAY,
        happenings=tuple(
            Happening(
                what=what,
                since=start + 2 * DAY + begins * HOUR,
                until=start + 2 * DAY + ends * HOUR,
                amount=amount,
            )
            for what, begins, ends, amount in happens
        ),
    )


def _late(one: Message, comes: datetime, who: str | None) -> Message:
    is_of_it = who is None or f"/{who}/" in one.topic
    if is_of_it and comes - DAY < one.received_at < comes:
        waited = (one.received_at - (comes - DAY)) / DAY
        return replace(one, received_at=comes + 5.0 * waited * timedelta(seconds=1))
    return one


def _kind(alarm: Alarm) -> str:
    return alarm.rule.partition(":")[0]


def main() -> int:
    """Measure, print, and say whether all bars held."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--nights", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--weeks", type=int, default=8)
    parser.add_argument("--only", choices=("nights", "spring", "noise", "forty", "backlogs"))
    asked = parser.parse_args()
    report = Report()
    parts: dict[str, Callable[[], None]] = {
        "nights": lambda: drawn_nights(asked.nights, asked.seed, report),
        "spring": lambda: spring_weeks(asked.weeks, asked.seed, report),
        "noise": lambda: noise_at_setpoints(12, asked.seed, report),
        "forty": lambda: forty_silent(asked.seed, report),
        "backlogs": lambda: backlogs(asked.seed, report),
    }
    for name in parts if asked.only is None else (asked.only,):
        parts[name]()
    print("all bars held" if not report.missed else f"missed: {'; '.join(report.missed)}")
    return 1 if report.missed else 0


if __name__ == "__main__":
    sys.exit(main())
