"""The units by which systemd runs the service, as text. Pure.

The words are those of systemd.unit(5), systemd.service(5), systemd.exec(5) and
systemd.resource-control(5). How closed a unit is, ``systemd-analyze security`` tells.
"""

from collections.abc import Mapping
from pathlib import PurePosixPath

NAME = "clutchweather"
PROGRAM = f"/opt/{NAME}/current/.venv/bin/{NAME}"
DATA = f"/var/lib/{NAME}"
SYSTEM = "etc/systemd/system"
ENABLED = (
    "clutchweather-watch.service",
    "clutchweather-pages.service",
    "clutchweather-backup.timer",
    "clutchweather-broker.path",
)

_CLOSED = """\
# What it can reach of the machine: its data, the network, and little else.
NoNewPrivileges=yes
CapabilityBoundingSet=
AmbientCapabilities=
ProtectSystem=strict
ProtectHome=yes
PrivateTmp=yes
PrivateDevices=yes
ProtectProc=invisible
ProtectClock=yes
ProtectHostname=yes
ProtectKernelTunables=yes
ProtectKernelModules=yes
ProtectKernelLogs=yes
ProtectControlGroups=yes
RestrictNamespaces=yes
RestrictRealtime=yes
RestrictSUIDSGID=yes
RestrictAddressFamilies=AF_UNIX AF_INET AF_INET6 AF_NETLINK
LockPersonality=yes
MemoryDenyWriteExecute=yes
RemoveIPC=yes
SystemCallArchitectures=native
SystemCallFilter=@system-service
SystemCallFilter=~@privileged @resources
SystemCallErrorNumber=EPERM
"""

_RUNS_FOR_EVER = """\
[Unit]
Description={description}
Wants={wants}
After=network.target mosquitto.service
# Nobody is there at night to start it by hand: it is started again for ever.
StartLimitIntervalSec=0

[Service]
Type=notify
ExecStart={program} {command}
Restart=always
RestartSec=2
WatchdogSec={watchdog_s}
# Old records may have to be brought up to date first, on a slow card.
TimeoutStartSec=15min
TimeoutStopSec=30
MemoryHigh={high}
MemoryMax={most}
{more}{account}
{closed}
[Install]
WantedBy=multi-user.target
"""

_ACCOUNT = """\
User={user}
Group={user}
UMask=0077
StateDirectory=clutchweather
# Others may pass through (the broker to its passwords) and see nothing.
StateDirectoryMode=0711
# Shared: the pages look there for the sign of life of watch, also while one of both is down.
RuntimeDirectory=clutchweather
RuntimeDirectoryMode=0700
RuntimeDirectoryPreserve=yes
"""

_BACKUP = """\
[Unit]
Description=Backup of the shed's records

[Service]
Type=oneshot
ExecStart={program} backup
Nice=19
IOSchedulingClass=idle
MemoryMax=512M
{account}
{closed}"""

_BACKUP_TIMER = """\
[Unit]
Description=Every night a backup of the shed's records

[Timer]
OnCalendar=*-*-* 03:30
RandomizedDelaySec=20min
# A night without power is made up for at the next start.
Persistent=true

[Install]
WantedBy=timers.target
"""

_BROKER_PATH = """\
[Unit]
Description=Watches the names and passwords of the shed's devices

[Path]
PathChanged=/var/lib/clutchweather/broker/passwords
PathChanged=/var/lib/clutchweather/broker/access

[Install]
WantedBy=multi-user.target
"""

_BROKER_SERVICE = """\
[Unit]
Description=Makes the broker read the names and passwords of the shed's devices again

[Service]
Type=oneshot
ExecStart=systemctl reload mosquitto.service
"""

_JOURNAL = """\
# The log shall not fill the memory card.
[Journal]
SystemMaxUse=200M
"""


def unit_files(user: str) -> Mapping[PurePosixPath, str]:
    """Every file, by its path below the root of the machine."""
    account = _ACCOUNT.format(user=user)
    units = {
        # Memory: 70 MB is the most that watch may need, 110 MB the pages; with room above.
        "clutchweather-watch.service": _RUNS_FOR_EVER.format(
            description="Watch over the shed: listens, stores, raises alarms",
            wants="mosquitto.service",
            program=PROGRAM,
            command="watch",
            watchdog_s=60,
            high="160M",
            most="256M",
            more="OOMScoreAdjust=-500\n",
            account=account,
            closed=_CLOSED,
        ),
        "clutchweather-pages.service": _RUNS_FOR_EVER.format(
            description="Pages of the shed",
            wants="clutchweather-watch.service",
            program=PROGRAM,
            command="pages",
            watchdog_s=90,
            high="256M",
            most="384M",
            more="",
            account=account,
            closed=_CLOSED,
        ),
        "clutchweather-backup.service": _BACKUP.format(
            program=PROGRAM, account=account, closed=_CLOSED
        ),
        "clutchweather-backup.timer": _BACKUP_TIMER,
        "clutchweather-broker.path": _BROKER_PATH,
        "clutchweather-broker.service": _BROKER_SERVICE,
    }
    return {
        **{PurePosixPath(SYSTEM) / name: text for name, text in units.items()},
        PurePosixPath(f"etc/sysusers.d/{NAME}.conf"): (
            f'u {user} - "Watch over the shed" {DATA} /usr/sbin/nologin\n'
        ),
        PurePosixPath(f"etc/systemd/journald.conf.d/{NAME}.conf"): _JOURNAL,
    }
