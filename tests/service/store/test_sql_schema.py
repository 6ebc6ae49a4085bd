"""Migrations of records.db on real SQLite files."""

import multiprocessing
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine

from service.store import (  # noqa: F401 - of the metadata
    sql_air_tables,
    sql_alarm_tables,
    sql_book_tables,
    sql_duty_tables,
)
from service.store.sql_engine import sql_url
from service.store.sql_schema import (
    NEWEST,
    STEPS,
    BrokenRecordsError,
    NewerRecordsError,
    upgrade,
)
from service.store.sql_tables import METADATA

URL = "sqlite:///records.db"

BROKEN_STEP = '''"""A step that fails half way."""

from alembic import op

revision = "9999"
down_revision = "{newest}"


def upgrade() -> None:
    op.execute("CREATE TABLE half (n INTEGER)")
    op.execute("UPDATE places SET name = 'spoilt'")
    {then}
'''
FAIL = "op.execute('INSERT INTO nowhere VALUES (1)')"
ORPHAN = (
    'op.execute("INSERT INTO pairs (cage, cock_id, hen_id, put_up_on) '
    "VALUES ('no-cage', 1, 2, '2026-03-01')\")"
)


def migrate(folder: Path) -> None:
    upgrade(sql_url(URL, folder))


def rows(folder: Path, asked: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(folder / "records.db")) as file:
        return file.execute(asked).fetchall()


def layout(folder: Path) -> list[tuple[object, ...]]:
    """Columns, keys and indexes of every table, whatever the text that made them."""
    return rows(
        folder,
        """
        SELECT m.name, c.name, c.type, c."notnull", c.pk, l.strict
        FROM sqlite_master m, pragma_table_info(m.name) c, pragma_table_list(m.name) l
        WHERE m.type = 'table' AND m.name != 'alembic_version'
        UNION ALL
        SELECT m.name, i.name, i."unique", i.partial, i.origin, NULL
        FROM sqlite_master m, pragma_index_list(m.name) i WHERE m.name != 'alembic_version'
        UNION ALL
        SELECT m.name, f."from", f."table", f."to", NULL, NULL
        FROM sqlite_master m, pragma_foreign_key_list(m.name) f
        ORDER BY 1, 2, 3
        """,
    )


def test_steps_lead_to_the_tables_that_the_code_believes_in(tmp_path: Path) -> None:
    stepped, made = tmp_path / "stepped", tmp_path / "made"
    stepped.mkdir()
    made.mkdir()
    migrate(stepped)
    engine = create_engine(sql_url(URL, made))
    METADATA.create_all(engine)
    engine.dispose()
    assert layout(stepped) == layout(made)


def test_alembic_finds_nothing_left_to_do(tmp_path: Path) -> None:
    migrate(tmp_path)
    engine = create_engine(sql_url(URL, tmp_path))
    with engine.connect() as connection:
        left = compare_metadata(MigrationContext.configure(connection), METADATA)
    engine.dispose()
    assert left == []


def test_every_table_is_strict(tmp_path: Path) -> None:
    migrate(tmp_path)
    found = rows(tmp_path, "SELECT name, strict FROM pragma_table_list WHERE schema = 'main'")
    loose = {name for name, strict in found if not strict}
    assert loose == {"sqlite_schema", "alembic_version"}


def test_newest_is_the_last_step_there_is() -> None:
    assert ScriptDirectory(str(STEPS)).get_current_head() == NEWEST


def test_second_start_changes_nothing(tmp_path: Path) -> None:
    migrate(tmp_path)
    before = (tmp_path / "records.db").read_bytes()
    migrate(tmp_path)
    assert (tmp_path / "records.db").read_bytes() == before


def test_processes_that_start_at_once_make_the_tables_once(tmp_path: Path) -> None:
    spawn = multiprocessing.get_context("spawn")
    starts = [spawn.Process(target=migrate, args=(tmp_path,)) for _ in range(3)]
    for start in starts:
        start.start()
    for start in starts:
        start.join()
    assert [start.exitcode for start in starts] == [0, 0, 0]
    assert rows(tmp_path, "SELECT version_num FROM alembic_version") == [(NEWEST,)]


def next_step(tmp_path: Path, then: str) -> Path:
    steps = tmp_path / "migrations"
    shutil.copytree(STEPS, steps, ignore=shutil.ignore_patterns("__pycache__"))
    (steps / "versions" / "9999_next.py").write_text(BROKEN_STEP.format(then=then, newest=NEWEST))
    return steps


@pytest.mark.parametrize(
    ("then", "error"),
    [
        pytest.param(FAIL, Exception, id="a statement fails"),
        pytest.param(ORPHAN, BrokenRecordsError, id="rows point nowhere"),
    ],
)
def test_step_that_fails_leaves_the_records_as_they_were(
    tmp_path: Path, then: str, error: type[Exception]
) -> None:
    migrate(tmp_path)
    with closing(sqlite3.connect(tmp_path / "records.db")) as file:
        file.execute("INSERT INTO places VALUES ('shed', 'shed', 'Shed', NULL, 1, 0)")
        file.commit()
    before = rows(tmp_path, "SELECT name, sql FROM sqlite_master")
    with pytest.raises(error):
        upgrade(sql_url(URL, tmp_path), steps=next_step(tmp_path, then), newest="9999")
    assert rows(tmp_path, "SELECT name, sql FROM sqlite_master") == before
    assert rows(tmp_path, "SELECT name FROM places") == [("Shed",)]
    assert rows(tmp_path, "SELECT version_num FROM alembic_version") == [(NEWEST,)]


def test_step_that_succeeds_is_taken_once(tmp_path: Path) -> None:
    migrate(tmp_path)
    steps = next_step(tmp_path, "pass")
    upgrade(sql_url(URL, tmp_path), steps=steps, newest="9999")
    upgrade(sql_url(URL, tmp_path), steps=steps, newest="9999")
    assert rows(tmp_path, "SELECT version_num FROM alembic_version") == [("9999",)]
    assert rows(tmp_path, "SELECT count(*) FROM half") == [(0,)]


def test_records_of_a_newer_version_are_refused_and_left_alone(tmp_path: Path) -> None:
    migrate(tmp_path)
    with closing(sqlite3.connect(tmp_path / "records.db")) as file:
        file.execute("UPDATE alembic_version SET version_num = '99999'")
        file.commit()
    before = (tmp_path / "records.db").read_bytes()
    with pytest.raises(NewerRecordsError, match=f"layout 99999, this version knows up to {NEWEST}"):
        migrate(tmp_path)
    assert (tmp_path / "records.db").read_bytes() == before


def test_file_can_be_opened_when_its_folder_has_a_percent_sign(tmp_path: Path) -> None:
    folder = tmp_path / "100% hazel"
    folder.mkdir()
    migrate(folder)
    assert rows(folder, "SELECT version_num FROM alembic_version") == [(NEWEST,)]
