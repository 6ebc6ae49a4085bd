"""Recorded messages, read back: JSON Lines, gzipped or not, one message a line in time order.

    {"t": "2026-03-01T21:00:00Z", "topic": "…", "payload": "…"}

``payload_b64`` stands in for ``payload`` where the bytes are no text; ``"retain": true``
says that the broker had kept the message. ``t`` is the time of arrival and the clock.
"""

import base64
import binascii
import gzip
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import BinaryIO

import msgspec

from devices.message import Message
from service.errors import InputError

FIRST_YEAR, LAST_YEAR = 1971, 2199
"""Wide enough for every recording, and far enough from where a calendar ends."""


class _Line(msgspec.Struct):
    t: datetime
    topic: str
    payload: str | None = None
    payload_b64: str | None = None
    retain: bool = False


def open_recording(file: Path) -> BinaryIO:
    """The bytes of a recording, unpacked where gzip packed it.

    Raises:
        InputError: the file is not there or can't be read.
    """
    try:
        raw = file.open("rb")
    except OSError as error:
        raise InputError(f"{file}: {error.strerror}") from error
    if raw.read(2) == b"\x1f\x8b":
        raw.close()
        return gzip.open(file, "rb")  # type: ignore[return-value]
    raw.seek(0)
    return raw


def recorded_messages(file: Path, lines: BinaryIO) -> Iterator[Message]:
    """The messages of an open recording, oldest first.

    Raises:
        InputError: a line can't be read or goes back in time; the message tells which line.
    """
    decoder = msgspec.json.Decoder(_Line)
    last = datetime.min.replace(tzinfo=UTC)
    number = 1
    try:
        for line in lines:
            if line.strip():
                message = _message(decoder.decode(line), last)
                last = message.received_at
                yield message
            number += 1
    except (msgspec.DecodeError, ValueError, EOFError, OSError) as error:
        raise InputError(f"{file}, line {number}: {error}") from error


def _message(line: _Line, last: datetime) -> Message:
    if line.t.tzinfo is None:
        raise ValueError(f"t {line.t.isoformat()} has no time zone; write it as …Z")
    if (line.payload is None) == (line.payload_b64 is None):
        raise ValueError("give payload or payload_b64, one of the two")
    if not FIRST_YEAR <= line.t.year <= LAST_YEAR:
        raise ValueError(f"t {line.t.isoformat()} is not between {FIRST_YEAR} and {LAST_YEAR}")
    if line.t < last:
        raise ValueError(f"t {line.t.isoformat()} is before that of the line above")
    return Message(
        topic=line.topic,
        payload=_payload(line),
        received_at=line.t.astimezone(UTC),
        retained=line.retain,
    )


def _payload(line: _Line) -> bytes:
    if line.payload is not None:
        return line.payload.encode()
    try:
        return base64.b64decode(line.payload_b64 or "", validate=True)
    except binascii.Error as error:
        raise ValueError(f"payload_b64: {error}") from error
