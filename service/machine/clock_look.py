"""Whether the machine's clock can be believed.

Without a clock chip a machine begins after a power cut with the time at which it last ran.
Network time mends that: systemd-timesyncd then renews a file (systemd-timesyncd.service(8)),
and every time service tells the kernel (adjtimex(2)).
"""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import service
from service.machine.finding import Finding, cannot_tell, look, well
from service.machine.machine import Machine

SYNCHRONISED = "run/systemd/timesync/synchronized"
CLOCK_CHIP = "sys/class/rtc/rtc0/since_epoch"
_CHIP_AGREES_S = 120.0
_READINGS_AHEAD = timedelta(minutes=5)
_HALF_A_YEAR = timedelta(days=182)
_NETWORK = "Connect the machine to the network for a few minutes; without one, add a clock chip."


def clock_trusted(machine: Machine, now: datetime) -> bool | None:
    """Whether network time or a clock chip stands behind ``now``; None where nothing tells."""
    kernel = machine.kernel_clock()
    if machine.path(SYNCHRONISED).exists() or kernel:
        return True
    chip = machine.number(CLOCK_CHIP)
    if chip is not None:
        return now >= built_at() and abs(now.timestamp() - chip) <= _CHIP_AGREES_S
    if kernel is False or machine.path(SYNCHRONISED).parent.is_dir():
        return False
    return None


def built_at() -> datetime:
    """When this version was put on the machine: no right clock shows an earlier time."""
    return datetime.fromtimestamp(Path(str(service.__file__)).stat().st_mtime, UTC)


def look_at_clock(
    machine: Machine, now: datetime, newest_reading_at: datetime | None, built: datetime
) -> Finding:
    """``built`` is when this version was put on the machine."""
    what = "clock"
    if now < built:
        return look(
            what,
            f"The clock shows {now:%Y-%m-%d %H:%M} UTC, which is before this version was put here.",
            _NETWORK,
        )
    if newest_reading_at is not None and newest_reading_at > now + _READINGS_AHEAD:
        return look(
            what,
            f"The clock shows {now:%Y-%m-%d %H:%M} UTC, and the newest reading came "
            f"{newest_reading_at:%Y-%m-%d %H:%M}: the clock is slow now, or was fast then.",
            _NETWORK,
        )
    trusted = clock_trusted(machine, now)
    if trusted is None:
        return cannot_tell(
            what,
            "Nothing here tells whether the clock is kept right.",
            f"Compare it with another clock: it shows {now:%Y-%m-%d %H:%M} UTC.",
        )
    if not trusted:
        return look(what, "Neither network time nor a clock chip keeps the clock right.", _NETWORK)
    return well(what, "The clock is kept right.")


def look_at_zone(machine: Machine, of_the_shed: ZoneInfo, now: datetime) -> Finding:
    """The machine's time zone beside the shed's."""
    what = "time zone"
    name = zone_of(machine)
    if name is None:
        return cannot_tell(
            what,
            "It can't be told which time zone this machine is set to.",
            f"sudo timedatectl set-timezone {of_the_shed.key}",
        )
    if _same(name, of_the_shed, now):
        return well(what, f"The machine and the shed are both set to {of_the_shed.key}.")
    return look(
        what,
        f"The machine is set to {name} and the shed to {of_the_shed.key}: the machine's own times "
        "(its log, its nightly tasks) differ from those on the pages.",
        f"sudo timedatectl set-timezone {of_the_shed.key}, or set the shed's on /setup",
    )


def zone_of(machine: Machine) -> str | None:
    """The name of the zone that ``/etc/localtime`` links to, or that ``/etc/timezone`` tells."""
    try:
        linked = str(machine.path("etc/localtime").readlink()).partition("zoneinfo/")[2]
    except OSError:
        linked = ""
    return linked or machine.text("etc/timezone") or None


def _same(name: str, other: ZoneInfo, now: datetime) -> bool:
    try:
        zone = ZoneInfo(name)
    except (LookupError, ValueError, OSError):
        return False
    return all(
        zone.utcoffset(at) == other.utcoffset(at)
        for at in (one.replace(tzinfo=None) for one in (now, now + _HALF_A_YEAR))
    )
