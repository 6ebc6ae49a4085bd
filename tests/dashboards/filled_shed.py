"""A shed for the tests of the pages: real SQLite files, filled through the stores."""

import math
import shutil
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from uuid import uuid4
from zoneinfo import ZoneInfo

from dashboards.page_services import PageServices
from devices.reading import Quantity, Reading
from devices.sensor import Sensor
from service.climate.light_plan import LightPlan, Site
from service.clock import Clock, FixedClock
from service.heartbeat import Heartbeat
from service.intake.broker_address import BrokerAddress
from service.nest_check_path import NestCheckPath
from service.nests.nest import HenSeen, NestCheck, Sex
from service.nests.place import Place, PlaceKind
from service.quality.flag import Flag, Judged
from service.rules.limit import Limit, Priority
from service.settings.editing import SettingsEditor
from service.settings.settings import Settings
from service.settings.stated import Stated
from service.store.nest_book import NestBook
from service.store.reading_store import Batch, Heard
from service.store.sql_records import Records, open_records
from service.store.sqlite_readings import SqliteReadings

ZONE = ZoneInfo("Europe/Amsterdam")
NOW = datetime(2026, 4, 21, 12, 30, tzinfo=UTC)  # 14:30 in the shed
OVERDUE = timedelta(minutes=3)


def beating(at: datetime) -> Heartbeat:
    """A heartbeat of a watch that is well."""
    now = time.monotonic()
    return Heartbeat(
        pid=1,
        at=at,
        started_at=at,
        written_monotonic=now,
        moved_monotonic={"listener": now, "store": now, "rules": now},
        broker="connected",
    )


def limits() -> tuple[Limit, ...]:
    warm, damp = Quantity.TEMPERATURE, Quantity.RELATIVE_HUMIDITY
    return (
        Limit(id="cold", place="shed", quantity=warm, low=5.0, priority=Priority.HIGH),
        Limit(id="hot", place="shed", quantity=warm, high=28.0, priority=Priority.HIGH),
        Limit(id="damp", place="shed", quantity=damp, high=80.0, priority=Priority.HIGH),
        Limit(id="dry", place="shed", quantity=damp, low=40.0, priority=Priority.MEDIUM),
    )


def places(boxes: int, box_name: str = "Box {n}") -> tuple[Place, ...]:
    found = [Place(id="shed", kind=PlaceKind.SHED, name="Hazel shed")]
    for n in range(1, boxes + 1):
        cage = Place(
            id=f"cage-{n}", kind=PlaceKind.CAGE, name=f"Cage {n}", within="shed", order=2 * n
        )
        box = Place(
            id=f"box-{n}",
            kind=PlaceKind.BOX,
            name=box_name.format(n=n),
            within=cage.id,
            order=2 * n + 1,
        )
        found += [cage, box]
    return tuple(found)


def settings(folder: Path, boxes: int = 4) -> Settings:
    site = Site(timezone=ZONE, latitude=53.2, longitude=6.6)
    return Settings(
        shed_id="hazel",
        shed_name="Hazel shed",
        site=site,
        light=LightPlan(site=site),
        broker=BrokerAddress(),
        places=places(boxes),
        feeds=(),
        sensors=(
            Sensor(
                device="th-shed",
                place="shed",
                interval=timedelta(minutes=1),
                overdue_after=OVERDUE,
            ),
            Sensor(
                device="th-2", place="box-2", interval=timedelta(minutes=1), overdue_after=OVERDUE
            ),
        ),
        limits=limits(),
        limits_built_in=False,
        readings_file=folder / "readings.db",
        records_url="sqlite:///records.db",
        keep_raw=timedelta(days=400),
        bind="127.0.0.1",
        port=0,
    )


@dataclass(kw_only=True)
class FilledShed:
    """Open stores of one folder, and the services that pages get."""

    settings: Settings
    clock: Clock
    readings: SqliteReadings
    records: Records
    heartbeat: Callable[[], Heartbeat | None]
    hosts: tuple[str, ...] = ("testserver", "127.0.0.1", "localhost", "[::1]")

    def services(self) -> PageServices:
        book = self.records.nest_book
        return PageServices(
            current=lambda: self.settings,
            clock=self.clock,
            readings=self.readings,
            nest_book=book,
            birds=self.records.birds,
            cages=self.records.cages,
            seasons=self.records.seasons,
            visit_times=self.records.visit_times,
            duties=self.records.duties,
            running_low=self.records.running_low,
            suggestions=self.records.suggestions,
            calendars=self.records.calendars,
            alarms=self.records.alarms,
            requests=self.records.requests,
            check_path=NestCheckPath(book, self.clock, lambda: ZONE),
            heartbeat=self.heartbeat,
            people=self.records.people,
            calibrations=self.records.calibrations,
            changes=self.records.changes,
            outlook=self.records.outlook,
            treatments=self.records.treatments,
            editor=SettingsEditor(
                stated=Stated(),
                data=self.settings.readings_file.parent,
                kept=self.records.kept,
                book=book,
            ),
            data=self.settings.readings_file.parent,
            hosts=self.hosts,
        )

    def close(self) -> None:
        self.readings.close()
        self.records.close()

    def fill_air(
        self,
        hours: float = 14,
        *,
        skip: tuple[str, ...] = (),
        flag: Flag = Flag.PASS,
        every: timedelta = timedelta(minutes=1),
    ) -> None:
        """Mild air by night and day, until now; sensors in ``skip`` stop 2 h 36 min ago."""
        now = self.clock.now()
        judged = []
        for sensor in self.settings.sensors:
            end = now - timedelta(minutes=156) if sensor.device in skip else now
            at = end
            while at > now - timedelta(hours=hours):
                judged += _readings(sensor, at, flag)
                at -= every
            heard = Heard(device=sensor.device, at=end, deadline=end + sensor.overdue_after)
            self.readings.commit(Batch(heard=(heard,)))
        self.readings.commit(Batch(judged=judged))

    def put_up_pair(self, n: int, *, ring: str) -> None:
        put_up_pair(self.records.nest_book, n, ring=ring)

    def look(self, n: int, days_ago: float, eggs: int, chicks: int = 0) -> None:
        """A look into a box that the book takes without a question."""
        at = self.clock.now() - timedelta(days=days_ago)
        check = NestCheck(
            form_id=uuid4(),
            box=f"box-{n}",
            at=at,
            eggs=eggs,
            chicks=chicks,
            hen=HenSeen.SITTING if eggs else HenSeen.NOT_SEEN,
        )
        past = NestCheckPath(self.records.nest_book, FixedClock(at), lambda: ZONE)
        outcome = past.record(check)
        questions = getattr(outcome, "questions", ())
        assert not questions, questions

    def fill_nests(self) -> None:
        """Box 1 has five eggs, the first laid 12 days ago; box 2 has one; the others none."""
        self.put_up_pair(1, ring="1")
        self.put_up_pair(2, ring="2")
        for n in range(6):
            self.look(1, 12 - 2 * n + 0.4, n)
        self.look(2, 2.4, 0)
        self.look(2, 1.4, 1)


def put_up_pair(book: NestBook, n: int, *, ring: str) -> None:
    """A pair in cage ``n``, a month before NOW."""
    cock = book.add_bird(sex=Sex.COCK, ring=f"C{ring}")
    hen = book.add_bird(sex=Sex.HEN, ring=f"H{ring}")
    book.put_up(cage=f"cage-{n}", cock_id=cock.id, hen_id=hen.id, on=date(2026, 3, 20))


def _readings(sensor: Sensor, at: datetime, flag: Flag) -> list[Judged]:
    hour = at.astimezone(ZONE).hour + at.astimezone(ZONE).minute / 60
    swing = math.sin((hour - 9) / 24 * 2 * math.pi)
    values = {
        Quantity.TEMPERATURE: 14 + 4 * swing,
        Quantity.RELATIVE_HUMIDITY: 60 - 6 * swing,
    }
    if sensor.place == "shed":
        values[Quantity.ILLUMINANCE] = 300.0 if 6.5 < hour < 20.5 else 0.0
    return [
        Judged(
            reading=Reading(
                device=sensor.device,
                place=sensor.place,
                quantity=quantity,
                value=round(value, 2),
                measured_at=at,
                received_at=at,
            ),
            flag=flag,
            reason="" if flag is Flag.PASS else "told so",
        )
        for quantity, value in values.items()
    ]


def open_shed(
    folder: Path, *, boxes: int = 4, clock: Clock | None = None, **changed: object
) -> FilledShed:
    """An empty shed with its places in the nest book."""
    clock = clock or FixedClock(NOW)
    set_up = replace(settings(folder, boxes), **changed)  # type: ignore[arg-type]
    records = open_records(set_up.records_url, folder)
    records.nest_book.put_places(set_up.places)
    return FilledShed(
        settings=set_up,
        clock=clock,
        readings=SqliteReadings(set_up.readings_file, writer=True),
        records=records,
        heartbeat=lambda: beating(clock.now()),
    )


def open_filled_shed(
    folder: Path, *, air_hours: float = 0, clock: Clock | None = None
) -> FilledShed:
    """Nests as ``fill_nests`` fills them and so much air, until NOW.

    Looks are many small transactions: they are told once a process, and the files copied.
    """
    shutil.copytree(_filled(air_hours).name, folder, dirs_exist_ok=True)
    return open_shed(folder, clock=clock)


@cache
def _filled(air_hours: float) -> "TemporaryDirectory[str]":
    """A folder that goes with the process."""
    folder = TemporaryDirectory(prefix="filled-shed-", ignore_cleanup_errors=True)
    filled = open_shed(Path(folder.name))
    if air_hours:
        filled.fill_air(hours=air_hours)
    filled.fill_nests()
    filled.close()
    return folder
