"""Signs of life of watch: when each part of it last moved.

watch writes them every 2 s into the runtime folder (memory, not the card); pages read them.
Ages are reckoned by the system's monotonic clock, which is one for all processes of a
machine, so a jump of the real clock can't make the dead look alive.
"""

import hashlib
import json
import os
import tempfile
import time
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

PARTS = ("listener", "store", "rules")


@dataclass(frozen=True, slots=True, kw_only=True)
class Heartbeat:
    """``at`` is the shed's time, ``…_monotonic`` are seconds of the monotonic clock.

    ``moved_monotonic`` has an entry for each of PARTS that has moved since the start.
    ``broker`` says how the connection stands in words ("connected", "refused: …").
    ``started_at`` is the shed's time when watch began; ``notes`` are short texts to show.
    ``round_ends_monotonic`` is until when every topic is listened to, None while only the feeds
    are. ``ignored`` is how many values of ignored senders were dropped since the start.
    """

    pid: int
    at: datetime
    started_at: datetime
    written_monotonic: float
    moved_monotonic: dict[str, float]
    broker: str
    last_message_at: datetime | None = None
    notes: tuple[str, ...] = ()
    round_ends_monotonic: float | None = None
    ignored: int = 0

    def round_left_s(self) -> float:
        """Real seconds for which every topic is still listened to; 0 where only feeds are."""
        if self.round_ends_monotonic is None:
            return 0.0
        return max(0.0, self.round_ends_monotonic - time.monotonic())

    def age_s(self) -> float:
        """Real seconds since this was written."""
        return time.monotonic() - self.written_monotonic

    def part_age_s(self, part: str) -> float | None:
        """Real seconds since ``part`` last moved; None when it never did."""
        moved = self.moved_monotonic.get(part)
        return None if moved is None else time.monotonic() - moved


def heartbeat_file(data: Path) -> Path:
    """Where the heartbeat of the watch of this data folder lives."""
    folder = os.environ.get("RUNTIME_DIRECTORY") or os.environ.get("XDG_RUNTIME_DIR")
    if not folder or not os.access(folder, os.W_OK):
        folder = tempfile.gettempdir()
    return Path(folder) / _name(data, os.getuid())


def _name(data: Path, user: int) -> str:
    digest = hashlib.sha256(str(data.resolve()).encode()).hexdigest()[:12]
    return f"clutchweather-{user}-{digest}.json"


def newest_heartbeat(data: Path, run: Path = Path("/run")) -> Heartbeat | None:
    """The newest heartbeat of a watch that may run as another user, or under systemd.

    Only those written by the owner of the data folder, by root or by us count: anybody may
    write into the folder of temporary files.
    """
    owners = {data.stat().st_uid, os.getuid(), 0}
    places = {heartbeat_file(data).parent, Path(tempfile.gettempdir()), *run.glob("clutchweather*")}
    places |= set(run.glob("user/*"))
    found = [
        heartbeat
        for place in places
        for user in owners
        if _is_of(file := place / _name(data, user), user)
        if (heartbeat := read_heartbeat(file)) is not None
    ]
    # One from before the machine was started anew seems to come from the future.
    return max(found, key=lambda one: (one.age_s() >= 0, one.written_monotonic), default=None)


def _is_of(file: Path, user: int) -> bool:
    try:
        return file.stat(follow_symlinks=False).st_uid == user
    except OSError:
        return False


def write_heartbeat(file: Path, heartbeat: Heartbeat) -> None:
    """Replace the file at once, so that nobody reads half of it."""
    told = asdict(heartbeat)
    for name in ("at", "started_at", "last_message_at"):
        told[name] = told[name] and told[name].isoformat()
    new = file.with_suffix(f".{heartbeat.pid}")
    new.write_text(json.dumps(told))
    new.replace(file)


def read_heartbeat(file: Path) -> Heartbeat | None:
    """The last heartbeat, or None where none can be read: then nothing is known to live."""
    try:
        told = json.loads(file.read_text())
        for name in ("at", "started_at", "last_message_at"):
            told[name] = told[name] and datetime.fromisoformat(told[name]).astimezone(UTC)
        return Heartbeat(**{**told, "notes": tuple(told["notes"])})
    except (OSError, ValueError, TypeError, KeyError):
        return None
