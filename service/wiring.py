"""Puts the parts together; the only file that names implementations."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from devices.errors import DecodeError
from devices.formats.decode import decode
from devices.formats.decoded import Decoded
from devices.message import Message
from service.air_path import AirPath
from service.alarm_path import AlarmPath
from service.answers.nests_to_judge import records_since, shed_book
from service.backup.last_backup import last_backup
from service.clock import Clock, PacedClock, speed_of
from service.clock_path import ClockPath
from service.heartbeat import Heartbeat, heartbeat_file, read_heartbeat
from service.intake.batcher import CLOSE_AFTER_S
from service.intake.broker_standing import broker_in_force
from service.intake.client_identity import fixed_client_id
from service.intake.mqtt_listener import MqttListener
from service.intake.mqtt_round import MqttRound
from service.intake.mqtt_topics import route
from service.lamps_path import LampsPath
from service.light_path import LightPath
from service.limit_path import LimitPath
from service.machine.systemd_notify import told_at_every_turn
from service.nest_check_path import NestCheckPath
from service.nest_rules_path import BookOf, NestRulesPath
from service.nests.place import Place, PlaceKind
from service.nests.season import is_resting
from service.overdue_path import OverduePath
from service.power_path import PowerPath
from service.quality.correction import Corrections
from service.quality.judging import Judge, Surroundings
from service.quality.placement import Placement
from service.quality.stays import Stay, Stays
from service.reading_path import Decode, ReadingPath
from service.rule_path import RulePath
from service.rules.nest_rules.backup_old import BackupKnown
from service.sensor_fault_path import SensorFaultPath
from service.settings.away import JAR, with_sensors_away
from service.settings.current import CurrentSettings, read_settings
from service.settings.editing import SettingsEditor
from service.settings.in_force import settings_of
from service.settings.limits_of_the_year import with_limits_of_the_year
from service.settings.settings import Settings
from service.settings.stated import Stated
from service.store.calibration_store import sensors_away
from service.store.reading_store import ReadingStore
from service.store.sql_engine import PATIENCE_S
from service.store.sql_records import Records, open_records, open_records_as_they_are
from service.store.sqlite_readings import SqliteReadings
from service.tonight.issuing import HourlyIssuing
from service.tonight.keeping import TonightKeeping
from service.tonight.study_child import StudyChild, study_command
from service.twins_path import TwinsPath
from service.watch import Watch

SHORTEST_COMMIT_S = 0.1

_SHARING_AIR = (PlaceKind.SHED, PlaceKind.CAGE, PlaceKind.BOX)

WATCH_PATIENCE_S = 1.0
"""watch must not stand still for somebody who holds the records; it tries again later."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stores:
    """Both files of one shed, open."""

    readings: ReadingStore
    records: Records

    def close(self) -> None:
        """Let go of both."""
        self.readings.close()
        self.records.close()


def open_stores(
    settings: Settings, data: Path, *, writer: bool, with_places: bool = True
) -> Stores:
    """Open both files. ``writer`` is for watch and replay: the one writer of readings.

    It puts the places of the settings into the nest book, ``with_places``.

    Raises:
        StoreUnavailableError: a file can't be opened.
    """
    data.mkdir(parents=True, exist_ok=True)
    patience_s = WATCH_PATIENCE_S if writer else PATIENCE_S
    records = open_records(settings.records_url, data, patience_s=patience_s)
    try:
        if writer and with_places:
            records.nest_book.put_places(settings.places)
        readings = SqliteReadings(settings.readings_file, writer=writer)
    except BaseException:
        records.close()
        raise
    return Stores(readings=readings, records=records)


def open_shed(stated: Stated, data: Path, *, writer: bool) -> tuple[Settings, Stores]:
    """Open both files where the configuration file says, and read what was set on pages.

    The writer puts the places into the nest book.

    Raises:
        StoreUnavailableError: a file can't be opened.
    """
    by_file = settings_of(stated, data)
    stores = open_stores(by_file, data, writer=writer, with_places=False)
    try:
        settings = settings_now(stated, data, stores.records)
        if writer:
            put_places(settings, stores.records)
    except BaseException:
        stores.close()
        raise
    return settings, stores


def settings_now(stated: Stated, data: Path, records: Records) -> Settings:
    """The settings in force: sensors in a salt jar are away from their places, and limits that
    don't hold in this part of the year are left out.

    Raises:
        StoreUnavailableError: the records can't be read now.
    """
    settings = with_limits_of_the_year(
        read_settings(stated, data, records.kept),
        is_resting(records.seasons.seasons()),
        with_young=records.seasons.with_young(),
    )
    return with_sensors_away(settings, sensors_away(records.calibrations.trials()))


def put_places(settings: Settings, records: Records) -> None:
    """Put the places into the nest book; a salt jar is none of them.

    Raises:
        StoreUnavailableError: the records can't be written now.
    """
    records.nest_book.put_places([one for one in settings.places if one.kind is not PlaceKind.JAR])


def current_settings(stated: Stated, data: Path, records: Records) -> CurrentSettings:
    """The settings for a process that runs on while pages change them.

    Raises:
        StoreUnavailableError: the records can't be read now.
    """
    return CurrentSettings(lambda: settings_now(stated, data, records), lambda: revisions(records))


@contextmanager
def shed_to_ask(stated: Stated, data: Path) -> Iterator[tuple[Settings, Stores]]:
    """Settings and stores for somebody who only asks: nothing is made, nothing is changed.

    What is not there yet is an empty store.

    Raises:
        StoreUnavailableError: a file can't be read.
    """
    with TemporaryDirectory(prefix="clutchweather-") as nowhere:
        by_file = settings_of(stated, data)
        records = open_records_as_they_are(by_file.records_url, data)
        stores = Stores(
            readings=SqliteReadings(by_file.readings_file, writer=False),
            records=records or open_records("sqlite:///records.db", Path(nowhere)),
        )
        try:
            yield settings_now(stated, data, stores.records), stores
        finally:
            stores.close()


def decoder(settings: Settings) -> Decode:
    """Finds the feed of a message and reads it."""

    def decode_routed(message: Message) -> Decoded:
        feed = route(message.topic, settings.feeds)
        if feed is None:
            raise DecodeError(message.topic, "no feed listens to this topic")
        return decode(feed, message)

    return decode_routed


def reading_path(
    settings: Settings,
    stores: Stores,
    *,
    settled: bool | None = None,
    book: BookOf | None = None,
) -> ReadingPath:
    """The walk of a reading, ready for ``restore``.

    ``settled``: what the settings lack is meant to be gone; so it is where they have no fault.
    ``book`` is how the rules on the nest book read it; None: once, for nobody writes meanwhile.
    """
    settled = not settings.faults if settled is None else settled
    names = {place.id: place.name for place in settings.places}
    zone = settings.site.timezone
    sheds = [place.id for place in settings.places if place.kind is PlaceKind.SHED]
    around = {place.id: place.within for place in settings.places}
    alarms = AlarmPath(
        stores.records.alarms,
        settled=settled,
        around=around,
        priorities={limit.id: limit.priority for limit in settings.limits},
    )
    return ReadingPath(
        decode=decoder(settings),
        placement=Placement(settings.sensors),
        store=stores.readings,
        limits=LimitPath(
            limits=settings.limits,
            sensors=settings.sensors,
            light=LightPath(settings.sensors, settings.light, sheds),
            place_names=names,
            zone=zone,
            alarms=alarms,
            left_for_a_while=frozenset(settings.away.values()),
        ),
        overdue=OverduePath(settings.sensors, names, zone, alarms, around, homes=_homes(settings)),
        twins=TwinsPath(settings.sensors, names, zone, alarms),
        clocks=ClockPath(settings.sensors, names, zone, alarms),
        nests=_nest_rules(settings, book or _book_at_rest(stores), alarms),
        rules=_reading_rules(settings, names, alarms),
        judge=Judge(settings.sensors, surroundings(settings.places)),
        alarms=alarms,
        ignored=settings.ignored,
        corrections=Corrections(
            one.correction for one in stores.records.calibrations.calibrations()
        ),
        stays=_stays(settings, stores.records),
    )


def _homes(settings: Settings) -> frozenset[str]:
    """Where birds are."""
    kinds = (PlaceKind.SHED, PlaceKind.FLIGHT)
    return frozenset(place.id for place in settings.places if place.kind in kinds)


def _reading_rules(
    settings: Settings, names: Mapping[str, str], alarms: AlarmPath
) -> tuple[RulePath, ...]:
    # The power before the lamps: a cut is told before the dark that comes of it.
    rules, places, sensors = settings.rules, settings.places, settings.sensors
    zone, plan = settings.site.timezone, settings.light
    return (
        PowerPath(rules=rules, places=places, sensors=sensors, plan=plan, alarms=alarms),
        LampsPath(rules=rules, places=places, sensors=sensors, plan=plan, alarms=alarms),
        AirPath(
            rules=rules,
            places=places,
            sensors=sensors,
            surface=settings.surface,
            heater_c=settings.heater_c,
            zone=zone,
            alarms=alarms,
        ),
        SensorFaultPath(
            rules=rules,
            sensors=sensors,
            limits=settings.limits,
            place_names=names,
            zone=zone,
            alarms=alarms,
        ),
    )


def _nest_rules(settings: Settings, book: BookOf, alarms: AlarmPath) -> NestRulesPath:
    sheds = [place.id for place in settings.places if place.kind is PlaceKind.SHED]
    shed = (*sheds, settings.places[0].id)[0]
    return NestRulesPath(book, settings.rules, settings.site.timezone, shed, alarms)


def _book_at_rest(stores: Stores) -> BookOf:
    """Nobody makes backups of a recording, and nobody writes while it is replayed."""
    records = stores.records
    return BookOf(lambda: shed_book(records.nest_book, records.duties, None))


def living_book(settings: Settings, data: Path, stores: Stores, clock: Clock) -> BookOf:
    """Read again when the file of the records was written. A simulated shed has no backups."""
    records, simulated = stores.records, isinstance(clock, PacedClock)
    file = Path(settings.records_url.removeprefix("sqlite:///"))

    def backup() -> BackupKnown:
        last = last_backup(data)
        since = None if last is not None else records_since(stores.readings)
        return BackupKnown(at=None if last is None else last.at, records_since=since)

    def sign() -> object:
        try:
            return file.stat().st_mtime_ns
        except OSError:
            return object()  # not to be told: read it, which says in words what is wrong

    return BookOf(
        lambda: shed_book(records.nest_book, records.duties, None if simulated else backup), sign
    )


def surroundings(places: Sequence[Place]) -> Surroundings:
    """Which places share the air of a shed: its cages and boxes, and it. What stands outdoors,
    in a flight, or on a cold surface does not.
    """
    around = {place.id: place.within for place in places}
    sharing = {
        place.id: _outermost(place.id, around) for place in places if place.kind in _SHARING_AIR
    }
    boxes = frozenset(place.id for place in places if place.kind is PlaceKind.BOX)
    return Surroundings(shed_of=sharing, boxes=boxes)


def _outermost(place: str, around: Mapping[str, str | None]) -> str:
    """The place that stands in no other; a place twice around itself ends it too."""
    seen: set[str] = set()
    while (within := around.get(place)) is not None and place not in seen:
        seen.add(place)
        place = within
    return place


def _stays(settings: Settings, records: Records) -> Stays:
    """All times that sensors have spent in the salt jar."""
    trials = records.calibrations.trials()
    return Stays(
        JAR.id,
        [Stay(device=one.device, since=one.started_at, until=one.ended_at) for one in trials],
        homes=settings.away,
    )


def revisions(records: Records) -> tuple[int, ...]:
    """What changes whenever a page changed something that watch is built from.

    Raises:
        StoreUnavailableError: the records can't be read now.
    """
    resting = is_resting(records.seasons.seasons())
    late = resting and records.seasons.with_young()
    return (records.kept.revision(), records.calibrations.revision(), int(resting), int(late))


def build_watch(
    settings: Settings,
    data: Path,
    stores: Stores,
    clock: Clock,
    *,
    forgiving: bool = True,
    notes: Sequence[str] = (),
) -> Watch:
    """The watch of a data folder whose lock the caller holds; ``notes`` go with its heartbeat.

    Not ``forgiving``: somebody has listened until now, so that a silence goes on.

    In a shed whose time runs faster it commits more often, so that as little of the shed's
    time passes between a message and its commit as the machine allows.
    """
    path = reading_path(settings, stores, book=living_book(settings, data, stores, clock))
    path.restore(clock.now(), forgiving=forgiving)
    broker = broker_in_force(settings.broker, data, told=settings.broker_told)
    client_id = fixed_client_id(data)
    filters = [feed.topic for feed in settings.feeds]
    listener = MqttListener(broker, client_id, filters, clock=clock, data=data)
    return Watch(
        listener=listener,
        path=path,
        requests=stores.records.requests,
        clock=clock,
        round_of=lambda ends_at: MqttRound(
            broker, client_id, filters, clock=clock, ends_at=ends_at
        ),
        heartbeat_file=heartbeat_file(data),
        on_beat=told_at_every_turn(),
        notes=(*settings.faults, *notes),
        alongside=_tonight_keeping(settings, data, stores),
        commit_every_s=max(SHORTEST_COMMIT_S, CLOSE_AFTER_S / speed_of(clock)),
    )


def _tonight_keeping(settings: Settings, data: Path, stores: Stores) -> TonightKeeping:
    issuing = HourlyIssuing(stores.readings, stores.records.outlook, settings)
    return TonightKeeping(issuing, lambda at: study_command(data, settings.file, at), StudyChild())


def nest_check_path(current: Callable[[], Settings], stores: Stores, clock: Clock) -> NestCheckPath:
    """The walk of a nest check, by the zone that the shed is in now."""
    return NestCheckPath(stores.records.nest_book, clock, lambda: current().site.timezone)


def settings_editor(
    stated: Stated, data: Path, stores: Stores, current: CurrentSettings
) -> SettingsEditor:
    """Changes settings on pages; ``current`` follows at once."""
    return SettingsEditor(
        stated=stated,
        data=data,
        kept=stores.records.kept,
        book=stores.records.nest_book,
        changed=current.renew,
    )


def heartbeat_of(data: Path) -> Callable[[], Heartbeat | None]:
    """Reads the heartbeat of this data folder's watch."""
    file = heartbeat_file(data)
    return lambda: read_heartbeat(file)
