"""Room on the disk, and what is known of a memory card's wear.

Sources: sysfs of eMMC, Documentation/driver-api/mmc/mmc-dev-attrs.rst of the Linux kernel
(``life_time`` in tenths, 0x0b past its life; ``pre_eol_info`` 2: four fifths of the reserve
used, 3: nine tenths); Documentation/block/stat.rst (the seventh number: sectors of 512 bytes
written). SD cards tell nothing of their wear.
"""

import os
from pathlib import Path

from service.machine.finding import Finding, cannot_tell, look, well
from service.machine.machine import Machine, Space

WARN_BELOW = 1_000_000_000
ACT_BELOW = 200_000_000
FEW_FILES = 0.02
MUCH_A_DAY = 5_000_000_000
"""Common practice, no source: a card of 32 GB bears it for years, and we write far less."""

_WORN = 0x0A
_RESERVE_USED = 0x02
_LONG_ENOUGH_S = 3600.0
_SECTOR = 512


def look_at_room(space: Space | None) -> Finding:
    """Free bytes and files where the data lies."""
    what = "room on the disk"
    if space is None:
        return cannot_tell(what, "The disk does not tell how much is free.", "Look with: df -h")
    free = f"{space.free_bytes / 1e9:.1f} GB" if space.free_bytes >= 1e9 else (
        f"{space.free_bytes / 1e6:.0f} MB"
    )  # fmt: skip
    if space.files and space.free_files < FEW_FILES * space.files:
        return look(
            what,
            f"Only {space.free_files} more files can be made, although {free} are free.",
            "Remove what makes many small files; look with: df -i",
        )
    if space.free_bytes < ACT_BELOW:
        return look(
            what,
            f"{free} are free: readings will soon find no room.",
            "Make room now: old backups and before-restore-… folders first.",
        )
    if space.free_bytes < WARN_BELOW:
        return look(what, f"{free} are free; below 1 GB it is time to make room.",
                    "Remove what is not needed, or move to a larger card.")  # fmt: skip
    return well(what, f"{free} are free.")


def device_of(path: Path) -> str:
    """The disk of a file as ``major:minor``."""
    number = path.stat().st_dev
    return f"{os.major(number)}:{os.minor(number)}"


def look_at_wear(machine: Machine, device: str) -> Finding:
    """What the card tells of itself, and how much is written to it."""
    what = "wear of the disk"
    disk = _disk(machine, device)
    if disk is None:
        return cannot_tell(
            what,
            "It can't be told on which disk the data lies.",
            "Keep backups on another disk: then its end costs a day at most.",
        )
    worn = _worn(disk)
    if worn:
        return look(what, worn, "Make a backup on another disk and move to a new card.")
    rate = _written_a_day(machine, disk)
    age = "It tells that it is well within its life." if (disk / "device/life_time").exists() else (
        "It does not tell how worn it is."
    )  # fmt: skip
    if rate is None:
        return cannot_tell(
            what,
            f"{disk.name}: {age} How much is written a day can't be told in the first hour.",
            "Look again later.",
        )
    told = f"{disk.name}: {age} At the rate since the start {rate / 1e9:.1f} GB a day are written."
    if rate > MUCH_A_DAY:
        return look(what, told, "Find what writes so much (sudo iotop -ao); it wears the card out.")
    return well(what, told)


def _disk(machine: Machine, device: str) -> Path | None:
    """The folder of the whole disk, also where ``device`` is a part of it."""
    found = machine.path(f"sys/dev/block/{device}")
    if not found.exists():
        return None
    found = found.resolve()
    return found.parent if (found / "partition").exists() else found


def _worn(disk: Path) -> str | None:
    life = [number for number in _numbers(disk / "device/life_time") if number]
    if life and max(life) >= _WORN:
        return f"{disk.name}: the card tells that nine tenths of its life or more are used up."
    reserve = _numbers(disk / "device/pre_eol_info")
    if reserve and reserve[0] >= _RESERVE_USED:
        return f"{disk.name}: the card tells that its reserve of sound cells is running out."
    return None


def _numbers(file: Path) -> list[int]:
    try:
        return [int(word, 16) for word in file.read_text().split()]
    except (OSError, ValueError):
        return []


def _written_a_day(machine: Machine, disk: Path) -> float | None:
    up_for_s = machine.up_for_s
    try:
        written = int((disk / "stat").read_text().split()[6]) * _SECTOR
    except (OSError, ValueError, IndexError):
        return None
    if up_for_s is None or up_for_s < _LONG_ENOUGH_S:
        return None
    return written / up_for_s * 86400
