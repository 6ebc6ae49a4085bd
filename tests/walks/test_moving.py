"""The whole shed moves to a new card: the wall there is the wall that was here."""

import subprocess
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

import httpx
import pytest

from devices.formats import senml
from service.clock import FixedClock, PacedClock
from service.nest_check_path import NestCheckPath
from service.nests.nest import HenSeen, NestCheck, Sex
from service.nests.place import PlaceKind
from service.people.digest import digest_of, new_secret
from service.people.role import Role
from service.settings import edits
from service.settings.editing import SettingsEditor
from service.settings.load import read_file
from service.store.sql_records import Records, open_records
from service.store.sqlite_readings import SqliteReadings
from tests.listening import publish, wait_until
from tests.walks.command_line import run, shown
from tests.walks.running_shed import SHED, RunningShed, running_shed

pytestmark = pytest.mark.broker

WITH_A_CAGE = SHED.replace(
    'id = "box-1"\nkind = "box"\nin = "shed"',
    'id = "cage-1"\nkind = "cage"\nin = "shed"\n'
    '[[place]]\nid = "box-1"\nkind = "box"\nin = "cage-1"',
)
ANSWERS = ("readings", "nests", "alarms", "dead-letters")
"""Those in which no age stands."""

TOKEN = new_secret()
STORED = 21
ALMOST_STILL = 1e-6
"""The pages are asked at one moment here and there: then all but the place is the same."""


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[RunningShed]:
    with running_shed(tmp_path / "here", configuration=WITH_A_CAGE) as running:
        yield running


def fill(shed: RunningShed, records: Records, now: datetime) -> None:
    """A name set on a page, a keeper, a tablet, a clutch, air, and what nobody can read."""
    editor = SettingsEditor(
        stated=read_file(None, shed.data),
        data=shed.data,
        kept=records.kept,
        book=records.nest_book,
    )
    named = edits.place("box-2", kind=PlaceKind.BOX, name="Box by the door", within="cage-1")
    editor.change(named, by=None, at=now)
    editor.change(edits.shed(name="Larch shed"), by=None, at=now)
    records.people.add("Ann", Role.KEEPER, "no hash of any password", now)
    records.people.add_wall_token("tablet", digest_of(TOKEN), by="Ann", at=now)
    book = records.nest_book
    cock, hen = (book.add_bird(sex=sex).id for sex in (Sex.COCK, Sex.HEN))
    book.put_up(cage="cage-1", cock_id=cock, hen_id=hen, on=now.date() - timedelta(days=10))
    NestCheckPath(book, FixedClock(now)).record(
        NestCheck(form_id=UUID(int=1), box="box-1", at=now, eggs=3, chicks=0, hen=HenSeen.SITTING)
    )
    for minute in reversed(range(STORED)):
        at = now - timedelta(minutes=minute)
        pack = senml.pack("th-shed", {"temperature": (18.0 + minute / 60, "Cel")}, at)
        publish(shed.broker.address, [pack], topic="clutchweather/th-shed/senml")
    publish(shed.broker.address, ["broken"], topic="clutchweather/th-shed/senml")


def is_stored(data: Path) -> bool:
    store = SqliteReadings(data / "readings.db", writer=False)
    try:
        return len(store.dead_letters()) == 1  # sent last
    finally:
        store.close()


def wall_of(shed: RunningShed, at: datetime) -> str:
    """The whole page as a tablet gets it, with its picture, at this moment."""
    clock = str(PacedClock(at, time.monotonic(), ALMOST_STILL))
    pages = shed.command("pages", "--clock", clock)
    try:
        with httpx.Client(base_url=f"http://127.0.0.1:{shed.pages_port}") as tablet:
            wait_until(lambda: answers(tablet), within=20)
            page = tablet.get("/wall", params={"token": TOKEN}, follow_redirects=True)
        assert page.status_code == 200
        return page.text
    finally:
        end(pages)


def answers(tablet: httpx.Client) -> bool:
    try:
        return tablet.get("/health").status_code < 500
    except httpx.TransportError:
        return False


def end(process: "subprocess.Popen[bytes]") -> None:
    process.terminate()
    process.wait(20)


def test_the_wall_of_an_empty_machine_is_the_same_after_a_restore(
    shed: RunningShed, tmp_path: Path
) -> None:
    now = datetime.now(UTC)
    records = open_records("sqlite:///records.db", shed.data)
    watch = shed.watch()
    fill(shed, records, now)
    wait_until(lambda: is_stored(shed.data), within=15)
    soon = datetime.now(UTC)
    before = wall_of(shed, soon)
    told = {what: shown(what, shed.data) for what in ANSWERS}
    made = run("backup", tmp_path / "stick", "--data", shed.data)  # while watch runs
    assert made.returncode == 0, made.stderr
    records.close()
    end(watch)

    (archive,) = (tmp_path / "stick").iterdir()
    shed.data = tmp_path / "there"
    restored = run("restore", archive, "--data", shed.data)
    assert restored.returncode == 0, restored.stderr
    shed.watch()
    assert wall_of(shed, soon) == before
    assert {what: shown(what, shed.data) for what in ANSWERS} == told
    assert len(told["readings"]) == STORED
    assert told["nests"][0]["eggs"] == 3
    for words in ("Larch shed", "1 of 2 live", "egg 4 due"):
        assert f">{words}<" in before
