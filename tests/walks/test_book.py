"""``clutchweather book``: out of one data folder and into another, by the command line."""

import sqlite3
from contextlib import closing
from pathlib import Path

from tests.walks.command_line import run

PLACES = """
[[place]]
id = "shed"
kind = "shed"
[[place]]
id = "cage-1"
kind = "cage"
in = "shed"
[[place]]
id = "box-1"
kind = "box"
in = "cage-1"
"""
BIRDS = "bird,ring,sex\r\n1,'=A1,cock\r\n2,A2,hen\r\n"
PAIRS = "pair,cage,cock,hen,put_up_on\r\n4,cage-1,1,2,2025-03-01\r\n"


def files(folder: Path, pairs: str) -> Path:
    folder.mkdir(parents=True)
    (folder / "birds.csv").write_bytes(BIRDS.encode())
    (folder / "pairs.csv").write_bytes(pairs.encode())
    return folder


def test_a_book_goes_out_of_one_shed_and_into_another(tmp_path: Path) -> None:
    config = tmp_path / "shed.toml"
    config.write_text(PLACES)
    told = files(tmp_path / "in", PAIRS)
    for shed, source in (("one", told), ("two", tmp_path / "one-out")):
        where = ("--data", tmp_path / shed, "--config", config)
        done = run("book", "import", source, *where)
        assert (done.returncode, "birds 2, pairs 1" in done.stdout) == (0, True), done.stderr
        done = run("book", "export", tmp_path / f"{shed}-out", *where)
        assert done.returncode == 0, done.stderr
    for file in sorted((tmp_path / "one-out").iterdir()):
        assert (tmp_path / "two-out" / file.name).read_bytes() == file.read_bytes()
    assert b"1,'=A1,," in (tmp_path / "two-out" / "birds.csv").read_bytes()


def test_a_faulty_book_ends_with_status_2_and_leaves_nothing(tmp_path: Path) -> None:
    config = tmp_path / "shed.toml"
    config.write_text(PLACES)
    told = files(tmp_path / "in", PAIRS.replace("cage-1", "cage-9"))
    where = ("--data", tmp_path / "shed", "--config", config)
    done = run("book", "import", told, *where)
    assert done.returncode == 2
    assert "pairs.csv, line 2, cage: there is no place 'cage-9'" in done.stderr
    run("book", "export", tmp_path / "out", *where)
    assert (tmp_path / "out" / "birds.csv").read_bytes().count(b"\r\n") == 1
    done = run("book", "import", told, *where, "--skip-bad")
    assert (done.returncode, "Left out: 1 row." in done.stdout) == (0, True)


def test_a_nought_that_no_file_can_hold_is_not_lost_without_a_word(tmp_path: Path) -> None:
    config = tmp_path / "shed.toml"
    config.write_text(PLACES)
    where = ("--data", tmp_path / "shed", "--config", config)
    assert run("book", "import", files(tmp_path / "in", PAIRS), *where).returncode == 0
    with closing(sqlite3.connect(tmp_path / "shed" / "records.db")) as records, records:
        records.execute("update birds set name = ? where id = 2", ("Mo\0ss",))
    done = run("book", "export", tmp_path / "out", *where)
    assert done.returncode == 0
    assert (
        "was left out of 1 cell; the book still has it:\n  birds.csv, bird 2, name" in done.stdout
    )
    assert b"2,A2,Moss,hen" in (tmp_path / "out" / "birds.csv").read_bytes()
