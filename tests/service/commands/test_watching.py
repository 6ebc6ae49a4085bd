"""When a running watch ends for new settings, and when it had better go on."""

import sqlite3
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from service.clock import SystemClock
from service.commands.watching import ASK_EVERY_S, Newer, Watching
from service.errors import StoreUnavailableError
from service.settings.load import default_settings, read_file
from service.settings.settings import Settings
from tests.service.shed_in_a_folder import load

Read = Callable[[], Settings]


def busy() -> Settings:
    raise StoreUnavailableError("busy")


@pytest.fixture
def sound(tmp_path: Path) -> Read:
    return lambda: default_settings(tmp_path)


def asked(read: Callable[[], object], revision: Callable[[], tuple[int, ...]]) -> bool:
    """What is answered once it looks."""
    newer = Newer(read, revision, (1,))
    newer._asked -= ASK_EVERY_S
    return newer()


def test_a_watch_goes_on_while_nothing_changed(sound: Read) -> None:
    assert not asked(sound, lambda: (1,))


def test_a_watch_ends_for_another_revision(sound: Read) -> None:
    assert asked(sound, lambda: (2,))


def test_a_watch_goes_on_while_the_new_settings_can_not_be_read() -> None:
    assert not asked(busy, lambda: (2,))


def test_a_watch_goes_on_while_the_records_can_not_be_written(tmp_path: Path) -> None:
    """They are read, but another process holds them: to end now would be to be deaf."""
    settings = load(tmp_path)
    watching = Watching(read_file(None, tmp_path), tmp_path, SystemClock())
    with sqlite3.connect(tmp_path / "records.db", isolation_level=None) as other:
        other.execute("BEGIN IMMEDIATE")
        assert not asked(watching._prepare, lambda: (2,))
        other.execute("ROLLBACK")
    other.close()
    assert asked(watching._prepare, lambda: (2,))
    assert {one.id for one in watching.stores.records.nest_book.places()} == {
        one.id for one in settings.places
    }
    at_once = threading.Event()
    at_once.set()
    watching.run(at_once)
    watching.stores.close()


def test_a_watch_goes_on_while_the_records_are_busy(sound: Read) -> None:
    def revision() -> tuple[int, ...]:
        raise StoreUnavailableError("busy")

    assert not asked(sound, revision)


def test_the_records_are_not_asked_at_every_step(sound: Read) -> None:
    looks = []
    newer = Newer(sound, lambda: (looks.append(1) or 1,), (1,))  # type: ignore[func-returns-value]
    assert [newer() for _ in range(100)] == [False] * 100
    assert not looks
