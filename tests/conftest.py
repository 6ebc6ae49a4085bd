"""Where tests write, in which order files are tested, and empty records, made once and copied.

Many hundreds of tests open an empty shed, and every step of the migrations makes each of them
slower. The copy is what the real steps made; ``tests/service/store/test_sql_schema.py`` walks
them, and so does every process that a test starts.
"""

import os
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from sqlalchemy.engine import URL

from service.store import sql_records
from service.store.sql_engine import sql_url
from service.store.sql_schema import upgrade

LONG = ("browser", "walks", "faults", "simulated_feeds", "service/backup")
"""Folders whose files take long: begun last, one of them would keep a worker busy alone."""

MEMORY = Path("/dev/shm")
ROOM_BYTES = 3 * 1024**3


def pytest_configure(config: pytest.Config) -> None:
    """Several workers write into memory, where there is room for all that they write.

    Every record is synced to the disk before it is told, and the workers would wait for one disk.
    No test cuts the power: what a ``kill -9`` leaves is the same in memory.
    """
    if config.getoption("numprocesses", None) and _has_room(MEMORY):
        os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))


def _has_room(folder: Path) -> bool:
    """Scripts must run there, too."""
    try:
        there = os.statvfs(folder)
        free = os.sysconf("SC_AVPHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
    except (OSError, ValueError):
        return False
    room = there.f_bavail * there.f_frsize
    return min(room, free) > ROOM_BYTES and not there.f_flag & os.ST_NOEXEC


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Long files first; each file stays together, in its own order."""
    here = Path(__file__).parent

    def is_short(item: pytest.Item) -> bool:
        return not any(item.path.is_relative_to(here / folder) for folder in LONG)

    items.sort(key=is_short)


@cache
def _empty_records() -> bytes:
    with TemporaryDirectory() as folder:
        url = sql_url("sqlite:///records.db", Path(folder))
        upgrade(url)
        return Path(str(url.database)).read_bytes()


def _upgraded(url: URL) -> None:
    """A file with nothing in it begins as the copy; then all goes as ever."""
    file = Path(str(url.database))
    if file.is_file() and file.stat().st_size == 0:
        file.write_bytes(_empty_records())
    upgrade(url)


@pytest.fixture(autouse=True, scope="session")
def empty_records_are_made_once() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sql_records, "upgrade", _upgraded)
        yield
