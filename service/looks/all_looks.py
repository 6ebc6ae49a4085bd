"""All looks of ``clutchweather doctor``, in the order in which a keeper would mend things."""

import sqlite3
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

from service.answers.health import pulse
from service.backup.contents import BACKUPS
from service.backup.named_files import secret_files, toml_document
from service.errors import StoreUnavailableError
from service.heartbeat import Heartbeat, newest_heartbeat
from service.intake.broker_standing import FOLDER
from service.intake.mosquitto_process import CONFIGURATION
from service.looks.backup_look import look_at_backup
from service.looks.integrity_look import look_at_databases
from service.looks.service_look import (
    look_at_broker,
    look_at_pages,
    look_at_settings,
    look_at_watch,
)
from service.looks.surroundings import Surroundings
from service.machine.broker_accounts import SERVICE_PASSWORD
from service.machine.bus_look import look_at_buses
from service.machine.clock_look import built_at, look_at_clock, look_at_zone
from service.machine.disk_look import device_of, look_at_room, look_at_wear
from service.machine.finding import Finding
from service.machine.machine import space_at
from service.machine.mosquitto_look import look_at_mosquitto
from service.machine.permission_look import look_at_folder, look_at_secrets
from service.machine.power_look import look_at_heat, look_at_power
from service.machine.sqlite_look import look_at_sqlite
from service.machine.systemd_look import look_at_units
from service.settings.load import FILE_NAME
from service.store.sqlite_readings import SqliteReadings

_OF_ONE_TIME = timedelta(minutes=1)


def look_at_all(around: Surroundings) -> list[Finding]:
    """Every look; those that do not apply to this machine are left out."""
    return [finding for finding in _findings(around) if finding is not None]


def _findings(around: Surroundings) -> Iterator[Finding | None]:
    heartbeat = newest_heartbeat(around.data)
    yield look_at_watch(heartbeat)
    yield look_at_pages(around.settings)
    yield look_at_broker(around, heartbeat)
    yield look_at_settings(around.faults)
    yield from look_at_databases(around)
    yield look_at_backup(around)
    yield from _of_the_machine(around, heartbeat)


def _of_the_machine(around: Surroundings, heartbeat: Heartbeat | None) -> Iterator[Finding | None]:
    machine, data, settings = around.machine, around.data, around.settings
    yield look_at_room(space_at(data))
    yield look_at_wear(machine, device_of(data))
    yield look_at_power(machine)
    yield look_at_heat(machine)
    newest = None if _has_another_time(heartbeat, around.now) else _newest_reading(around)
    yield look_at_clock(machine, around.now, newest, built_at())
    yield look_at_zone(machine, settings.site.timezone, around.now)
    yield look_at_folder(data, around.databases)
    yield look_at_secrets(_secrets(around))
    yield look_at_mosquitto(machine, [data / FOLDER / CONFIGURATION])
    yield look_at_units(machine)
    yield look_at_buses(machine)
    yield look_at_sqlite(sqlite3.sqlite_version)


def _secrets(around: Surroundings) -> list[Path]:
    settings, data = around.settings, around.data
    documents = [toml_document(settings.file or data / FILE_NAME)]
    found = (
        *secret_files(documents, data),
        settings.broker.password_file,
        settings.key_file,
        data / FOLDER / SERVICE_PASSWORD,
        *sorted((data / BACKUPS).glob("*.tar.gz")),
    )
    return list(dict.fromkeys(file for file in found if file is not None))


def _has_another_time(heartbeat: Heartbeat | None, now: datetime) -> bool:
    """Whether a watch runs here by a time of its own: that of a simulated shed."""
    if heartbeat is None or not pulse(heartbeat).lives:
        return False
    return abs(heartbeat.at + timedelta(seconds=heartbeat.age_s()) - now) > _OF_ONE_TIME


def _newest_reading(around: Surroundings) -> datetime | None:
    readings = SqliteReadings(around.settings.readings_file, writer=False)
    try:
        return max((one.received_at for one in readings.latest()), default=None)
    except StoreUnavailableError:  # told by the look at the databases
        return None
    finally:
        readings.close()
