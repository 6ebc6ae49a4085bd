"""A shed with something of everything in it, and what its answers are."""

import json
import sqlite3
import tarfile
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path

from service.backup.making import BackupMade, make_backup
from service.intake.session_file import SESSION_FILE
from tests.service.shed_in_a_folder import CONFIGURATION, minutes, shed_in

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)

NAME = "Larch shed"
"""Set on a page; the file tells none."""

SECRETS = ("marker-of-the-broker", "marker-of-a-notice", "marker-of-the-key")

NAMED = """
[broker]
url = "mqtt://127.0.0.1:18830"
username = "shed"
password_file = "broker/service-password"

[notices]
urls_file = "told/notices.txt"

[[place]]
"""


def filled_shed(data: Path, celsius: float = 4.0) -> Path:
    """Readings, an alarm, the configuration, and the files that it names."""
    with shed_in(data, CONFIGURATION.replace("[[place]]", NAMED, 1)) as shed:
        shed.walk(*minutes(celsius, 0, 60))
    made_on_pages(data)
    for name, text in (
        ("broker/service-password", SECRETS[0]),
        ("broker/passwords", "shed:$7$101$x$y\n"),
        ("broker/access", "user shed\ntopic read #\n"),
        ("broker/mosquitto.db", "messages on their way"),
        ("told/notices.txt", SECRETS[1]),
        ("own.key", SECRETS[2]),
        (SESSION_FILE, '["clutchweather/+/senml"]'),
    ):
        file = data / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text)
        file.chmod(0o600)
    return data


def made_on_pages(data: Path) -> None:
    """A keeper, the token of a wall, and the shed's name, as pages keep them."""
    db = sqlite3.connect(data / "records.db")
    db.execute(
        "INSERT INTO people (name, role, password_hash, made_at) VALUES ('Keeper','keeper','h',0)"
    )
    db.execute("INSERT INTO wall_tokens (name, digest, made_at) VALUES ('wall', 't', 0)")
    db.execute(
        "INSERT INTO kept_settings VALUES (1, 7, ?)", (json.dumps({"shed": {"name": NAME}}),)
    )
    db.commit()
    db.close()


def backup_of(data: Path, archive: Path) -> BackupMade:
    return make_backup(data, archive, now=NOW)


def contents(data: Path) -> dict[str, bytes]:
    """All files below a folder but the lock, whose text is the number of a process."""
    return {
        str(file.relative_to(data)): file.read_bytes()
        for file in sorted(data.rglob("*"))
        if file.is_file() and file.name != "clutchweather.lock"
    }


def archive_members(archive: Path) -> dict[str, bytes]:
    """By Python's tarfile, not by our own reader."""
    with tarfile.open(archive) as tar:
        found = ((member.name, tar.extractfile(member)) for member in tar)
        return {name: file.read() for name, file in found if file is not None}


def manifest_of(archive: Path) -> dict[str, object]:
    told: dict[str, object] = json.loads(archive_members(archive)["manifest.json"])
    return told


def archive_of(file: Path, members: Mapping[str, bytes]) -> Path:
    """An archive with any members, in the order given."""
    import io

    with tarfile.open(file, "w:gz") as tar:
        for name, text in members.items():
            header = tarfile.TarInfo(name)
            header.size = len(text)
            tar.addfile(header, io.BytesIO(text))
    return file
