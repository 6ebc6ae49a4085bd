"""What is remembered of the broker's session outlives the process, and no file stops it."""

from pathlib import Path

import pytest

from service.intake.session_file import SESSION_FILE, SessionFile


def test_what_is_remembered_is_known_at_the_next_start(tmp_path: Path) -> None:
    assert not SessionFile(tmp_path).known
    SessionFile(tmp_path).remember(["b/#", "a/#"])
    again = SessionFile(tmp_path)
    assert again.known
    assert again.filters == {"a/#", "b/#"}


@pytest.mark.parametrize("written", [b"", b"\xff\x00", b'["a/#"', b'{"a": 1}', b"[1, null]"])
def test_a_file_that_does_not_tell_still_says_that_the_broker_knew_us(
    tmp_path: Path, written: bytes
) -> None:
    (tmp_path / SESSION_FILE).write_bytes(written)
    session = SessionFile(tmp_path)
    assert session.known
    assert session.filters == frozenset()
    session.remember([])
    session.remember(["a/#"])
    assert SessionFile(tmp_path).filters == {"a/#"}


def test_a_folder_that_is_gone_is_no_reason_to_stop(tmp_path: Path) -> None:
    session = SessionFile(tmp_path / "gone")
    session.remember(["a/#"])
    assert session.known


def test_without_a_folder_it_is_remembered_while_we_run() -> None:
    session = SessionFile(None)
    session.remember(["a/#"])
    assert session.known
    assert session.filters == {"a/#"}
