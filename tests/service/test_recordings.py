"""Recordings: what is read, and how faults are told."""

import gzip
import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from devices.message import Message
from service.errors import InputError
from service.recordings import open_recording, recorded_messages

NINE = {"t": "2026-03-01T21:00:00Z", "topic": "a/b", "payload": "1"}


def read(file: Path) -> list[Message]:
    with open_recording(file) as lines:
        return list(recorded_messages(file, lines))


def written(folder: Path, *lines: object) -> Path:
    file = folder / "feed.jsonl"
    texts = [line if isinstance(line, str) else json.dumps(line) for line in lines]
    file.write_text("\n".join(texts) + "\n")
    return file


def test_a_line_is_a_message(tmp_path: Path) -> None:
    assert read(written(tmp_path, NINE)) == [
        Message(topic="a/b", payload=b"1", received_at=datetime(2026, 3, 1, 21, tzinfo=UTC))
    ]


def test_bytes_come_as_base64(tmp_path: Path) -> None:
    line = {"t": NINE["t"], "topic": "a", "payload_b64": "/wA="}
    assert read(written(tmp_path, line))[0].payload == b"\xff\x00"


def test_a_retained_message_is_marked(tmp_path: Path) -> None:
    assert read(written(tmp_path, {**NINE, "retain": True}))[0].retained


def test_other_offsets_become_utc(tmp_path: Path) -> None:
    (message,) = read(written(tmp_path, {**NINE, "t": "2026-03-01T22:00:00+01:00"}))
    assert message.received_at == datetime(2026, 3, 1, 21, tzinfo=UTC)
    assert message.received_at.tzinfo is UTC


def test_a_packed_file_is_unpacked(tmp_path: Path) -> None:
    file = tmp_path / "feed.jsonl.gz"
    file.write_bytes(gzip.compress(json.dumps(NINE).encode()))
    assert len(read(file)) == 1


def test_empty_lines_are_passed_over(tmp_path: Path) -> None:
    assert len(read(written(tmp_path, NINE, "", NINE))) == 2


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("{", "line 2"),
        ('{"t": "yesterday", "topic": "a", "payload": ""}', "line 2"),
        ({**NINE, "t": "2026-03-01T21:00:00"}, "no time zone"),
        ({**NINE, "t": "2026-03-01T20:59:59Z"}, "before that of the line above"),
        ({"t": NINE["t"], "topic": "a"}, "payload or payload_b64"),
        ({**NINE, "payload_b64": "AA=="}, "payload or payload_b64"),
        ({"t": NINE["t"], "topic": "a", "payload_b64": "*"}, "payload_b64"),
        ({"t": NINE["t"], "payload": ""}, "topic"),
        ({**NINE, "t": "9999-12-31T23:59:59-14:00"}, "between 1971 and 2199"),
        ({**NINE, "t": "0001-01-01T00:00:00Z"}, "between 1971 and 2199"),
    ],
)
def test_a_fault_names_file_and_line_and_says_what(tmp_path: Path, line: object, told: str) -> None:
    file = written(tmp_path, NINE, line)
    with pytest.raises(InputError) as caught:
        read(file)
    assert f"{file}, line 2" in str(caught.value)
    assert told in str(caught.value)


def test_a_file_that_is_cut_off_is_told(tmp_path: Path) -> None:
    file = tmp_path / "feed.jsonl.gz"
    file.write_bytes(gzip.compress(json.dumps(NINE).encode() * 100)[:-20])
    with pytest.raises(InputError, match=r"feed\.jsonl\.gz, line"):
        read(file)


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="none"):
        open_recording(tmp_path / "none")
