"""Recordings, read back by the service's own reader."""

import gzip
import json
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from devices.message import Message
from service.recordings import open_recording, recorded_messages
from simulated_feeds.records.replay_file import write_feed
from simulated_feeds.stream import Sent
from tests.simulated_feeds.hand_made_days import START

SOME = [
    Sent(START, "a/b", b'[{"n":"x \\u00e9 \\"quoted\\"","v":1}]'),
    Sent(START + timedelta(milliseconds=100), "a/\u00e9", "21,4 \u00b0C\n".encode()),
    Sent(START + timedelta(seconds=1), "a/b", b"\xff\x00\xfe"),
    Sent(START + timedelta(seconds=1), "a/status", b"true", retain=True),
]


def read(file: Path) -> list[Message]:
    with open_recording(file) as lines:
        return list(recorded_messages(file, lines))


def test_every_byte_is_read_back(tmp_path: Path) -> None:
    file = tmp_path / "feed.jsonl.gz"
    assert write_feed(file, SOME) == 4
    assert [(one.received_at, one.topic, one.payload, one.retained) for one in read(file)] == [
        tuple(one) for one in SOME
    ]


def test_time_is_told_in_utc_with_a_z(tmp_path: Path) -> None:
    file = tmp_path / "feed.jsonl.gz"
    write_feed(file, SOME)
    lines = [json.loads(line) for line in gzip.decompress(file.read_bytes()).splitlines()]
    assert lines[0]["t"] == "2026-03-01T00:00:00Z"
    assert lines[0].keys() == {"t", "topic", "payload"}
    assert lines[2].keys() == {"t", "topic", "payload_b64"}
    assert lines[3]["retain"] is True


def test_equal_messages_give_equal_bytes(tmp_path: Path) -> None:
    one, other = tmp_path / "one.gz", tmp_path / "other.gz"
    write_feed(one, many(9000))
    write_feed(other, many(9000))
    assert one.read_bytes() == other.read_bytes()


def many(count: int) -> Iterator[Sent]:
    for n in range(count):
        yield Sent(START + timedelta(seconds=n), "a", str(n).encode())


def test_thousands_of_messages_stay_in_order_and_progress_is_told(tmp_path: Path) -> None:
    file = tmp_path / "feed.jsonl.gz"
    told: list[tuple[datetime, int]] = []
    write_feed(file, many(10_000), lambda at, count: told.append((at, count)))
    assert [one.payload for one in read(file)] == [str(n).encode() for n in range(10_000)]
    assert told[-1] == (START + timedelta(seconds=9999), 10_000)
    assert len(told) >= 2


def test_no_messages_make_an_empty_recording(tmp_path: Path) -> None:
    file = tmp_path / "feed.jsonl.gz"
    assert write_feed(file, []) == 0
    assert read(file) == []


def test_recording_that_fails_leaves_the_one_before(tmp_path: Path) -> None:
    file = tmp_path / "feed.jsonl.gz"
    write_feed(file, SOME)

    def broken() -> Iterator[Sent]:
        yield SOME[0]
        raise RuntimeError("the shed fell down")

    with pytest.raises(RuntimeError, match="fell down"):
        write_feed(file, broken())
    assert len(read(file)) == 4
    assert [one.name for one in tmp_path.iterdir()] == ["feed.jsonl.gz"]


def test_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        write_feed(tmp_path / "nowhere" / "feed.jsonl.gz", SOME)
