"""Files that are replaced at once."""

import os
import stat
from pathlib import Path
from unittest.mock import patch

import pytest

from service.machine.whole_file import replace_file


def test_the_mode_is_the_one_asked_for_whatever_the_umask_is(tmp_path: Path) -> None:
    before = os.umask(0o077)
    try:
        replace_file(tmp_path / "a", "words", 0o640)
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "a").stat().st_mode) == 0o640


def test_the_old_file_stands_and_nothing_is_left_when_the_disk_fails(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("old")
    with patch("os.fsync", side_effect=OSError("no room")), pytest.raises(OSError, match="no room"):
        replace_file(tmp_path / "a", "new", 0o600)
    assert [file.name for file in tmp_path.iterdir()] == ["a"]
    assert (tmp_path / "a").read_text() == "old"
