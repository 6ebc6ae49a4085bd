"""From the tables of the file to the settings of the service. Pure but for the time zone."""

import os
from collections.abc import Collection, Sequence
from pathlib import Path
from zoneinfo import ZoneInfo

from devices.sensor import OVERDUE_INTERVALS, Feed, Field, Format, Sensor
from service.climate.cold_surface import ColdSurface
from service.climate.light_plan import LampSchedule, LightPlan, LightStep, Site
from service.intake.broker_address import BrokerAddress
from service.nests.place import Place, PlaceKind
from service.rules.built_in import built_in_limits
from service.rules.limit import Limit
from service.rules.rule_settings import RuleSet, RuleSettings
from service.rules.settables import BY_KIND
from service.settings.agreement import DEFAULT_PLACE
from service.settings.faults import in_toml
from service.settings.feed_agreement import ALWAYS_ON
from service.settings.settings import Settings
from service.settings.tables import (
    BrokerTable,
    ConfigurationFile,
    DeviceTable,
    FeedTable,
    LimitTable,
    PlaceTable,
    RuleTable,
    SensorTable,
    ShedTable,
    SurfaceTable,
)

RECORDS_FILE = "records.db"


def build_settings(tables: ConfigurationFile, data: Path, file: Path | None) -> Settings:
    """The settings that sound tables state; relative names are in the data folder.

    Left out: the machine's time zone, one shed as the only place, the built-in limits.
    """
    data = data.absolute()
    places = _places(tables.place, tables.shed)
    built_in = built_in_of(places, {sensor.place for sensor in tables.sensor})
    told = tables.limits.built_in
    with_built_in = not tables.limit if told is None else told
    limits, off = _limits(tables, built_in if with_built_in else ())
    site = Site(
        timezone=tables.shed.timezone or machine_time_zone(),
        latitude=tables.shed.latitude,
        longitude=tables.shed.longitude,
    )
    return Settings(
        shed_id=tables.shed.id,
        shed_name=_shed_name(tables.shed),
        site=site,
        light=_light(tables, site),
        broker=_broker(tables.broker, data),
        places=places,
        feeds=_feeds(tables.feed),
        sensors=tuple(_sensor(sensor) for sensor in tables.sensor),
        limits=limits,
        limits_built_in=with_built_in,
        readings_file=data / tables.store.readings,
        records_url=f"sqlite:///{data / (tables.store.records or RECORDS_FILE)}",
        keep_raw=tables.store.keep_raw,
        bind=tables.pages.bind,
        port=tables.pages.port,
        file=file,
        not_in_this_version=_not_in_this_version(tables),
        ignored=_ignored(tables),
        page_names=tuple(tables.pages.names),
        certificate_file=_in(data, tables.pages.certificate),
        key_file=_in(data, tables.pages.key),
        surface=_surface(tables.surface),
        heater_c=None if tables.heater is None else tables.heater.thermostat_c,
        limits_off=off,
        rules=_rules(tables.rule),
    )


def name_from_id(place: str) -> str:
    """ "Box 1" from "box-1"."""
    words = place.replace("-", " ").strip()
    return words[:1].upper() + words[1:]


def machine_time_zone() -> ZoneInfo:
    """The zone that this machine is set to; UTC where it can't be told."""
    linked = str(Path("/etc/localtime").resolve()).partition("zoneinfo/")[2]
    for name in (os.environ.get("TZ", "").removeprefix(":"), linked):
        try:
            return ZoneInfo(name)
        except (LookupError, ValueError, OSError):
            continue
    return ZoneInfo("UTC")


def _shed_name(shed: ShedTable) -> str:
    return shed.name or name_from_id(shed.id)


def _places(tables: list[PlaceTable], shed: ShedTable) -> tuple[Place, ...]:
    if not tables:
        return (Place(id=DEFAULT_PLACE, kind=PlaceKind.SHED, name=_shed_name(shed)),)
    only_shed = sum(table.kind is PlaceKind.SHED for table in tables) == 1
    places = [
        Place(
            id=table.id,
            kind=table.kind,
            name=table.name
            or (_shed_name(shed) if only_shed and table.kind is PlaceKind.SHED else "")
            or name_from_id(table.id),
            within=table.within,
            order=at if table.order is None else table.order,
        )
        for at, table in enumerate(tables, start=1)
    ]
    return tuple(sorted(places, key=lambda place: place.order))


def _broker(table: BrokerTable, data: Path) -> BrokerAddress:
    return BrokerAddress(
        host=table.url.host,
        port=table.url.port,
        tls=table.url.tls,
        username=table.username,
        password_file=_in(data, table.password_file),
        ca_file=_in(data, table.ca_file),
    )


def _in(data: Path, name: str | None) -> Path | None:
    return None if name is None else data / name


def _ignored(tables: ConfigurationFile) -> frozenset[str]:
    """A sender that is set up is heard, whatever else is said of it."""
    set_up = {sensor.device for sensor in tables.sensor}
    return frozenset(ignored.device for ignored in tables.ignored) - set_up


def _light(tables: ConfigurationFile, site: Site) -> LightPlan:
    table, schedule = tables.light, None
    if table.on is not None and table.off is not None:
        schedule = LampSchedule(on=table.on, off=table.off, dim=table.dim)
    steps = [
        LightStep(since=step.since, schedule=LampSchedule(on=step.on, off=step.off, dim=table.dim))
        for step in tables.light_step
    ]
    return LightPlan(
        site=site,
        schedule=schedule,
        steps=tuple(sorted(steps, key=lambda step: step.since)),
        threshold_lx=table.threshold_lx,
    )


def _surface(table: SurfaceTable | None) -> ColdSurface | None:
    if table is None:
        return None
    return ColdSurface(temperature_factor=table.temperature_factor, below_air_k=table.below_air_c)


def _feeds(tables: list[FeedTable]) -> tuple[Feed, ...]:
    """The feeds of the file, and before them the one that is always on."""
    feeds = [_feed(table) for table in tables]
    if all(feed.topic != ALWAYS_ON for feed in feeds):
        feeds.insert(0, Feed(topic=ALWAYS_ON, format=Format.SENML))
    return tuple(feeds)


def _feed(table: FeedTable) -> Feed:
    device = table.device or DeviceTable()
    return Feed(
        topic=table.topic,
        format=table.format,
        device_level=device.level,
        device_pointer=device.pointer,
        device_name=device.name,
        fields=tuple(
            Field(pointer=field.pointer, quantity=field.quantity, unit=field.unit)
            for field in table.fields
        ),
        time_pointer=None if table.time is None else table.time.pointer,
        quantity=table.quantity,
        unit=table.unit,
    )


def _sensor(table: SensorTable) -> Sensor:
    return Sensor(
        device=table.device,
        place=table.place,
        interval=table.interval,
        overdue_after=table.overdue_after or OVERDUE_INTERVALS * table.interval,
        measures=dict(table.measures),
        name=table.name or "",
    )


def built_in_of(places: Sequence[Place], sensed: Collection[str]) -> tuple[Limit, ...]:
    """The built-in limits of these places; ``sensed`` are those with a sensor of their own."""
    sheds = [place.id for place in places if place.kind is PlaceKind.SHED]
    flights = [p.id for p in places if p.kind is PlaceKind.FLIGHT and p.id in sensed]
    return built_in_limits(sheds, flights)


def _limits(
    tables: ConfigurationFile, built_in: Sequence[Limit]
) -> tuple[tuple[Limit, ...], tuple[Limit, ...]]:
    """The limits that hold, and those that are switched off."""
    own = {table.id: _limit(table) for table in tables.limit}
    off = {table.id for table in tables.limit if not table.on}
    found = {**{limit.id: limit for limit in built_in}, **own}
    holding = tuple(limit for limit in found.values() if limit.id not in off)
    return holding, tuple(limit for limit in own.values() if limit.id in off)


def _rules(tables: Sequence[RuleTable]) -> RuleSettings:
    told = {
        table.kind: RuleSet(
            is_on=BY_KIND[table.kind].usually_on if table.on is None else table.on,
            numbers=dict(table.numbers),
        )
        for table in tables
    }
    return RuleSettings(told=told)


def _limit(table: LimitTable) -> Limit:
    return Limit(
        id=table.id,
        place=table.place,
        quantity=table.quantity,
        when=table.when,
        during=table.during,
        low=table.low,
        high=table.high,
        deadband=table.deadband,
        on_delay=table.on_delay,
        off_delay=table.off_delay,
        priority=table.priority,
        latching=table.latching,
    )


def _not_in_this_version(tables: ConfigurationFile) -> tuple[str, ...]:
    """What is asked for and lacking, each with what happens instead."""
    told = []
    if tables.notices is not None:
        told.append("[notices]: no notices are sent in this version; look at the pages")
    if tables.store.mirror is not None:
        mirror = in_toml(tables.store.mirror)
        told.append(f"store.mirror = {mirror}: nothing is mirrored in this version")
    if tables.store.records is None:
        told.append(
            "store.records: PostgreSQL is not in this version; "
            f"the records are kept in {RECORDS_FILE} of the data folder"
        )
    if "keep_raw" in tables.store.model_fields_set:
        told.append("store.keep_raw: nothing is thinned out in this version, all is kept")
    return tuple(told)
