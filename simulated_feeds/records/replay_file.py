"""Writes messages as a replay file: JSON Lines in gzip, one message a line in time order.

    {"t": "2026-03-01T21:00:00Z", "topic": "…", "payload": "…"}

``payload_b64`` stands in where the bytes are no text; ``"retain": true`` where the broker was
asked to keep it. Packing is done in a second thread, so that two cores are used; equal
messages give equal bytes.
"""

import gzip
from base64 import b64encode
from collections import deque
from collections.abc import Callable, Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from datetime import datetime
from itertools import islice
from pathlib import Path

import msgspec

from simulated_feeds.stream import Sent

Progress = Callable[[datetime, int], None]
"""Is told how far the recording has come: the shed's time [UTC] and the messages so far."""

_MESSAGES_AT_ONCE = 4000
_LEVEL = 6
_PACKS_WAITING = 4


class _Line(msgspec.Struct, omit_defaults=True):
    t: datetime
    topic: str
    payload: str | None = None
    payload_b64: str | None = None
    retain: bool = False


def write_feed(path: Path, messages: Iterable[Sent], progress: Progress | None = None) -> int:
    """Write a replay file; returns its number of messages.

    The file takes its name only when it is whole; one that was there is replaced then.

    Args:
        path: of the file, in a folder that there is.
        messages: in time order.
        progress: called after every few thousand messages, and at the end.

    Raises:
        OSError: the file can't be written; what was there before is still there.
    """
    unfinished = path.with_name(f"{path.name}.part")
    try:
        # A file name or a time in the gzip header would make equal feeds differ.
        with (
            unfinished.open("wb") as file,
            gzip.GzipFile("", "wb", _LEVEL, file, mtime=0) as out,
        ):
            told = _written(out, messages, progress)
        unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)
    return told


def _written(out: gzip.GzipFile, messages: Iterable[Sent], progress: Progress | None) -> int:
    encoder = msgspec.json.Encoder()
    left, told = iter(messages), 0
    waiting: deque[Future[int]] = deque()
    with ThreadPoolExecutor(1, "packing") as packing:
        while some := list(islice(left, _MESSAGES_AT_ONCE)):
            lines = encoder.encode_lines([_line(sent) for sent in some])
            waiting.append(packing.submit(out.write, lines))
            if len(waiting) > _PACKS_WAITING:
                waiting.popleft().result()
            told += len(some)
            if progress is not None:
                progress(some[-1].at, told)
        for packed in waiting:
            packed.result()
    return told


def _line(sent: Sent) -> _Line:
    try:
        text = sent.payload.decode()
    except UnicodeDecodeError:
        packed = b64encode(sent.payload).decode()
        return _Line(t=sent.at, topic=sent.topic, payload_b64=packed, retain=sent.retain)
    return _Line(t=sent.at, topic=sent.topic, payload=text, retain=sent.retain)
