"""The records as a file: whose it is."""

import os
import stat
from pathlib import Path

from service.store.sql_records import open_records

URL = "sqlite:///records.db"


def test_new_records_are_their_owners_alone_whatever_the_umask(tmp_path: Path) -> None:
    before = os.umask(0o022)
    try:
        open_records(URL, tmp_path).close()
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "records.db").stat().st_mode) == 0o600


def test_records_that_are_there_keep_the_permissions_they_were_given(tmp_path: Path) -> None:
    open_records(URL, tmp_path).close()
    (tmp_path / "records.db").chmod(0o640)
    records = open_records(URL, tmp_path)
    assert not records.people.has_keeper()
    records.close()
    assert stat.S_IMODE((tmp_path / "records.db").stat().st_mode) == 0o640
