"""Whether the service itself lives: the answer to ``health``.

Watch shows by its heartbeat that it lives; a part that has not moved for long is not well
even though the process answers. Nothing here says anything about birds or sensors.
"""

import shutil
import sqlite3
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from typing_extensions import TypedDict

from service.answers.telling import rfc3339_or_none
from service.backup.last_backup import last_backup
from service.heartbeat import PARTS, Heartbeat
from service.machine.clock_look import clock_trusted
from service.machine.machine import Machine
from service.settings.settings import Settings

WATCH_DEAD_AFTER_S = 10.0
"""Watch writes every 2 s: five in a row that are missing are no chance."""

PART_STUCK_AFTER_S = 90.0
"""The slowest part moves with every canary message, each half minute or so."""


class PartsAnswer(TypedDict):
    """True well, False not, None where this version has no such part or it is unknown."""

    listener: bool | None
    store: bool | None
    rules: bool | None
    outbox: bool | None
    pages: bool | None


class HealthAnswer(TypedDict):
    """``part_age_s`` is how long ago each part last moved, in real seconds."""

    ok: bool
    parts: PartsAnswer
    sqlite_version: str
    broker: str | None
    clock_trusted: bool | None
    disk_free_mb: float | None
    backup_age_h: float | None
    watch_age_s: float | None
    part_age_s: dict[str, float | None]
    last_message_at: str | None
    notes: list[str]
    faults: list[str]
    not_in_this_version: list[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulse:
    """What the heartbeat says now: ``lives`` is watch as a whole, ``well`` each part."""

    lives: bool
    age_s: float | None
    part_age_s: dict[str, float | None]
    well: dict[str, bool]


def pulse(heartbeat: Heartbeat | None) -> Pulse:
    """What a heartbeat says by the monotonic clock. No heartbeat: nothing is known to live."""
    if heartbeat is None:
        nothing: dict[str, float | None] = dict.fromkeys(PARTS)
        return Pulse(lives=False, age_s=None, part_age_s=nothing, well=dict.fromkeys(PARTS, False))
    age_s = heartbeat.age_s()
    lives = 0 <= age_s <= WATCH_DEAD_AFTER_S
    ages = {part: heartbeat.part_age_s(part) for part in PARTS}
    well = {part: lives and _moves(age) for part, age in ages.items()}
    return Pulse(lives=lives, age_s=age_s, part_age_s=ages, well=well)


def _moves(age_s: float | None) -> bool:
    return age_s is not None and age_s <= PART_STUCK_AFTER_S


def health(
    heartbeat: Heartbeat | None,
    settings: Settings,
    *,
    pages: bool | None,
    data: Path,
    machine: Machine | None = None,
) -> HealthAnswer:
    """One object. ``pages`` is True when pages themselves answer, None when a command does.

    ``clock_trusted``, ``disk_free_mb`` and ``backup_age_h`` are of ``machine`` (without one: of
    this) and its clock, whatever time it is in the shed; None where they are not known.
    """
    machine = machine or Machine()
    found = pulse(heartbeat)
    parts = PartsAnswer(
        listener=found.well["listener"],
        store=found.well["store"],
        rules=found.well["rules"],
        outbox=None,
        pages=pages,
    )
    return HealthAnswer(
        ok=all(found.well.values()) and not settings.faults,
        parts=parts,
        sqlite_version=sqlite3.sqlite_version,
        broker=heartbeat.broker if heartbeat else None,
        clock_trusted=clock_trusted(machine, machine.now()),
        disk_free_mb=_free_mb(settings.readings_file.parent),
        backup_age_h=_backup_age_h(data, machine.now()),
        watch_age_s=found.age_s,
        part_age_s=found.part_age_s,
        last_message_at=rfc3339_or_none(heartbeat.last_message_at if heartbeat else None),
        notes=list(heartbeat.notes) if heartbeat else [],
        faults=list(settings.faults),
        not_in_this_version=list(settings.not_in_this_version),
    )


def _free_mb(folder: Path) -> float | None:
    try:
        return round(shutil.disk_usage(folder).free / 1e6, 1)
    except OSError:
        return None


def _backup_age_h(data: Path, now: datetime) -> float | None:
    """None without a backup, and where the clock shows a time before it was made."""
    last = last_backup(data)
    if last is None or last.at > now:
        return None
    return round((now - last.at).total_seconds() / 3600, 1)
