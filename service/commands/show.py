"""``clutchweather show WHAT``: the same answers as the pages' JSON, for scripts.

Reads and changes nothing. A data folder that nothing was stored in yet has empty answers.
"""

import json
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from rich.console import Console
from rich.table import Table

from service.answers.alarms import alarms
from service.answers.dead_letters import dead_letters
from service.answers.duties import DutyAnswer, duties_done, duties_now
from service.answers.duty_list import duty_list
from service.answers.health import health
from service.answers.latest import latest
from service.answers.light import light
from service.answers.nests import nests
from service.answers.nights import nights
from service.answers.outlook import outlook
from service.answers.readings import readings
from service.answers.work_ahead import work_ahead
from service.answers.workload import workload
from service.clock import Clock
from service.errors import InputError, NotInThisVersionError
from service.heartbeat import newest_heartbeat
from service.settings.load import read_file
from service.settings.settings import Settings
from service.wiring import Stores, shed_to_ask

_LONG_AGO = datetime(1971, 1, 1, tzinfo=UTC)
_FAR_AHEAD = datetime(2200, 1, 1, tzinfo=UTC)

NOT_BUILT_YET = ("events", "notices", "findings")


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What is asked of which shed, within bounds where some were given."""

    settings: Settings
    stores: Stores
    data: Path
    since: datetime | None
    until: datetime | None
    now: datetime

    @property
    def bounded_since(self) -> datetime:
        return self.since or _LONG_AGO

    @property
    def bounded_until(self) -> datetime:
        return self.until or _FAR_AHEAD


def _duties(q: Question) -> list[DutyAnswer]:
    """Without bounds what is due and was done today; within bounds what was told as done then."""
    records, site = q.stores.records, q.settings.site
    if q.since is None and q.until is None:
        book, readings = records.nest_book, q.stores.readings
        return duties_now(duty_list(book, records.duties, readings, q.settings, q.now))
    done = records.duties.told(q.bounded_since, q.bounded_until)
    duties, times = records.duties.duties(), records.duties.visit_times()
    return duties_done(done, duties, site.timezone, times)


Answer = Sequence[Mapping[str, object]] | Mapping[str, object]

ANSWERS: Mapping[str, Callable[[Question], Answer]] = {
    "latest": lambda q: latest(q.stores.readings.latest(), q.settings.sensors, q.now),
    "readings": lambda q: readings(q.stores.readings, q.bounded_since, q.bounded_until),
    "nights": lambda q: nights(
        q.stores.readings, q.settings, q.bounded_since, q.bounded_until, q.now
    ),
    "light": lambda q: light(
        q.stores.readings, q.settings, q.bounded_since, q.bounded_until, q.now
    ),
    "outlook": lambda q: outlook(q.stores.records.outlook, q.settings, q.now),
    "alarms": lambda q: alarms(q.stores.records.alarms.alarms(q.since, q.until)),
    "nests": lambda q: nests(q.stores.records.nest_book, q.now, q.settings.site.timezone),
    "duties": _duties,
    "workload": lambda q: workload(work_ahead(q.stores.records, q.settings, q.now)[0]),
    "dead-letters": lambda q: dead_letters(
        [
            letter
            for letter in q.stores.readings.dead_letters()
            if q.bounded_since <= letter.at < q.bounded_until
        ]
    ),
    "health": lambda q: health(newest_heartbeat(q.data), q.settings, pages=None, data=q.data),
}


def run_show(
    what: str,
    data: Path,
    config: Path | None,
    clock: Clock,
    *,
    since: datetime | None,
    until: datetime | None,
    as_json: bool,
) -> None:
    """Answer and print.

    Raises:
        InputError: nobody knows that word.
        NotInThisVersionError: it is known and not built yet.
        ConfigurationError: the configuration has faults.
    """
    if what in NOT_BUILT_YET:
        raise NotInThisVersionError(f"show {what}: not available in this version")
    if what not in ANSWERS:
        raise InputError(f"show {what}: it can be one of {', '.join(sorted(ANSWERS))}")
    with shed_to_ask(read_file(config, data), data) as (settings, stores):
        question = Question(
            settings=settings,
            stores=stores,
            data=data,
            since=since,
            until=until,
            now=clock.now(),
        )
        answer = ANSWERS[what](question)
    if as_json:
        print(json.dumps(answer))  # noqa: T201 - this is what was asked for
    else:
        _print_table(what, answer)


def _print_table(what: str, answer: Answer) -> None:
    rows = [answer] if isinstance(answer, Mapping) else list(answer)
    # Into a pipe there is no width to keep to.
    width = None if sys.stdout.isatty() else 240
    console = Console(highlight=False, markup=False, width=width)
    if not rows:
        console.print(f"no {what}")
        return
    if len(rows) == 1 and isinstance(answer, Mapping):
        table = Table("what", "value")
        for key, value in answer.items():
            table.add_row(key, _cell(value))
    else:
        columns = _IN_TABLE.get(what, tuple(rows[0]))
        table = Table(*columns)
        for row in rows:
            table.add_row(*(_cell(row[column]) for column in columns))
    console.print(table)


# What fits a line; all else is told as JSON.
_IN_TABLE = {
    "nights": (
        "night",
        "from",
        "to",
        "low_c",
        "low_at",
        "rh_max_pct",
        "dew_margin_min_c",
        "condensation_min",
        "coverage",
    ),
    "light": (
        "date",
        "on_at",
        "off_at",
        "light_h",
        "dark_gap_min",
        "night_light_min",
        "lamps_late_min",
        "coverage",
    ),
}


def _cell(value: object) -> str:
    if value is None:
        return "not known"
    return json.dumps(value) if isinstance(value, dict | list) else str(value)
