"""Sees a simulated shed day by day, and writes ``truth.json`` of it in constant memory."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

from simulated_feeds.day import MINUTE, MINUTES, Event, NestDay, ShedDay
from simulated_feeds.happening import Happening
from simulated_feeds.records.air_rows import hour_rows, night_columns, night_row, told_time
from simulated_feeds.records.dark_times import DarkTimes
from simulated_feeds.records.rows import Rows, write_object
from simulated_feeds.records.stretches import Joined, Span, spans_where
from simulated_feeds.records.truth import Bout, FaultTold, FollowsTold, Head, NestEvent, Stretch
from simulated_feeds.scenario_files.scenario import Follows, Scenario

TRUTH_FILE = "truth.json"
DARK_BELOW_LX = 20.0

Row = Mapping[str, Any]


@contextmanager
def witnessing(scenario: Scenario, folder: Path) -> Iterator["Witness"]:
    """A witness of a scenario, who writes into a folder."""
    with ExitStack() as open_files:
        yield Witness(scenario, folder, open_files)


class Witness:
    """Told every day of a scenario once, in order; ``write`` ends it."""

    def __init__(self, scenario: Scenario, folder: Path, open_files: ExitStack) -> None:
        self._scenario = scenario
        self._folder = folder
        self._open_files = open_files
        self._dark = DarkTimes(below_lx=DARK_BELOW_LX)
        self._lit = Joined()
        self._stays: defaultdict[tuple[str, str], Joined] = defaultdict(Joined)
        self._lists: dict[str, Rows] = {}
        for name in ("hours", "nights", "lamps", "bouts", "events"):
            self._add(name, ())

    def days(self, days: Iterable[ShedDay]) -> Iterator[ShedDay]:
        """The same days up to the scenario's present, each seen as it passes."""
        for day in days:
            if day.air.at >= self._scenario.origin:
                return
            self._see(day)
            yield day

    def write(self, more: Mapping[str, Iterable[Row]]) -> None:
        """Write the file: what was seen, and the lists of what others know besides."""
        self._add("lamps", map(_stretch, self._lit.rest()))
        for (box, who), joined in sorted(self._stays.items()):
            self._add("bouts", (_bout(box, who, span) for span in joined.rest()))
        for name, rows in more.items():
            self._add(name, rows)
        self._add("faults", map(_fault, self._faults()))
        self._add("must_follow", map(_follows, self._must_follow()))
        write_object(self._folder / TRUTH_FILE, _head(self._scenario), self._lists)

    def _faults(self) -> list[Happening]:
        start, origin = self._scenario.start, self._scenario.origin
        held = [
            one for one in self._scenario.happenings if one.since < origin and start < one.until
        ]
        return sorted(held, key=lambda one: one.since)

    def _must_follow(self) -> list[Follows]:
        """What can have followed by the present."""
        due = [one for one in self._scenario.follows if one.until <= self._scenario.origin]
        return sorted(due, key=lambda one: one.since)

    def _add(self, name: str, rows: Iterable[Row]) -> None:
        if name not in self._lists:
            self._lists[name] = Rows(self._folder, self._open_files)
        for row in rows:
            self._lists[name].add(row)

    def _see(self, day: ShedDay) -> None:
        at, light_lx = day.air.at, day.air.light_lx
        minutes = min(MINUTES, (self._scenario.origin - at) // MINUTE)
        self._add("hours", hour_rows(day.air, minutes))
        columns = night_columns(day.air, minutes)
        for dark in self._dark.minutes(at, light_lx[:minutes], columns):
            self._add("nights", [night_row(self._scenario, dark)])
        lit = self._lit.add(spans_where(at, day.air.lamp_share[:minutes] > 0.0))
        self._add("lamps", map(_stretch, lit))
        for nest in day.nests:
            self._see_stays(nest)
        origin = self._scenario.origin
        events = [one for nest in day.nests for one in nest.events if one.at < origin]
        self._add("events", map(_event, sorted(events, key=lambda one: (one.at, one.box))))

    def _see_stays(self, nest: NestDay) -> None:
        origin = self._scenario.origin
        for stay in nest.stays:
            if stay.since >= origin:
                continue
            span = stay.since, min(stay.until, origin)
            ended = self._stays[nest.box, stay.who].add([span])
            self._add("bouts", (_bout(nest.box, stay.who, span) for span in ended))


def _head(scenario: Scenario) -> Head:
    return Head(
        scenario=scenario.name,
        about=scenario.about,
        seed=scenario.seed,
        start=told_time(scenario.start),
        origin=told_time(scenario.origin),
        latitude=scenario.site.latitude,
        longitude=scenario.site.longitude,
        timezone=scenario.site.timezone,
        cold_limit_c=scenario.limits.cold_c,
        dark_below_lx=DARK_BELOW_LX,
    )


def _stretch(span: Span) -> Stretch:
    return {"from": told_time(span[0]), "to": told_time(span[1])}


def _bout(box: str, who: str, span: Span) -> Bout:
    return {"box": box, "who": str(who), "from": told_time(span[0]), "to": told_time(span[1])}


def _event(event: Event) -> NestEvent:
    return {
        "t": told_time(event.at),
        "box": event.box,
        "kind": event.kind.value,
        "egg": event.egg,
        "grams": round(event.grams, 3),
        "why": event.why,
    }


def _fault(happening: Happening) -> FaultTold:
    return {
        "what": happening.what.value,
        "who": happening.who,
        "from": told_time(happening.since),
        "to": told_time(happening.until),
        "amount": happening.amount,
    }


def _follows(follows: Follows) -> FollowsTold:
    return {
        "alarm": follows.alarm,
        "event": follows.event,
        "place": follows.place,
        "from": told_time(follows.since),
        "to": told_time(follows.until),
    }
