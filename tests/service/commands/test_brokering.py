"""What the keeper wishes of the broker, and `up` that follows it."""

import os
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from service.commands.brokering import Wishes
from service.machine.broker_keeping import Wish
from service.people.role import Role
from service.settings.load import load_settings
from service.store.kept_settings import Change
from service.store.sql_records import Records, open_records
from tests.needs import need

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
HOUSE = ("192.0.2.7",)


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records(load_settings(None, tmp_path).records_url, tmp_path)
    yield opened
    opened.close()


@pytest.fixture
def wishes(tmp_path: Path) -> Iterator[Wishes]:
    made = Wishes(tmp_path, None, addresses=lambda: HOUSE)
    yield made
    made.close()


def keep(records: Records, document: dict[str, object]) -> None:
    kept = records.kept.read()
    change = Change(at=NOW, by=None, what="Set on a page.", before="", after="")
    records.kept.put({**kept.document, **document}, based_on=kept.revision, change=change)


def test_at_first_it_is_for_this_machine_alone(wishes: Wishes) -> None:
    assert wishes.now() == Wish(told=False, let_in=False)


def test_once_let_in_it_is_for_the_house(records: Records, wishes: Wishes) -> None:
    records.people.add("Ann", Role.KEEPER, "a hash", NOW)
    keep(records, {"pages": {"bind": "0.0.0.0"}})
    assert wishes.now() == Wish(let_in=True, addresses=HOUSE)


def test_one_address_is_that_address(records: Records, wishes: Wishes) -> None:
    records.people.add("Ann", Role.KEEPER, "a hash", NOW)
    keep(records, {"pages": {"bind": "192.0.2.9"}})
    assert wishes.now() == Wish(let_in=True, addresses=("192.0.2.9",))


def test_without_a_keeper_nobody_is_let_in(records: Records, wishes: Wishes) -> None:
    keep(records, {"pages": {"bind": "0.0.0.0"}})
    records.people.add("Bob", Role.HELPER, "a hash", NOW)
    assert wishes.now() == Wish(let_in=False)


def test_a_broker_named_on_a_page_or_in_the_file_is_the_keepers_own(
    tmp_path: Path, records: Records, wishes: Wishes
) -> None:
    keep(records, {"broker": {"url": "mqtt://192.0.2.5"}})
    assert wishes.now().told
    (tmp_path / "clutchweather.toml").write_text('[broker]\nurl = "mqtt://192.0.2.6"\n')
    other = Wishes(tmp_path, None)
    assert other.now().told
    other.close()


def test_a_change_is_seen_at_the_next_look(records: Records, wishes: Wishes) -> None:
    assert not wishes.now().let_in
    records.people.add("Ann", Role.KEEPER, "a hash", NOW)
    keep(records, {"pages": {"bind": "0.0.0.0"}})
    assert wishes.now().let_in
    keep(records, {"pages": {"bind": "127.0.0.1"}})
    assert not wishes.now().let_in


def test_it_makes_no_records_and_sees_them_as_soon_as_there_are_any(
    tmp_path: Path, wishes: Wishes, caplog: pytest.LogCaptureFixture
) -> None:
    """watch and pages make them, and this process stays small."""
    file = tmp_path / "records.db"
    assert wishes.now() == Wish()
    assert not file.exists()
    file.touch()  # as it is for a moment while it is being made
    assert wishes.now() == Wish()
    made = open_records(load_settings(None, tmp_path).records_url, tmp_path)
    keep(made, {"broker": {"url": "mqtt://192.0.2.5"}})
    assert wishes.now().told
    assert not caplog.messages
    made.close()


def test_records_that_can_not_be_read_take_nobodys_broker_away(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "records.db").write_bytes(b"not a database at all" * 400)
    broken = Wishes(tmp_path, None)
    assert [broken.now(), broken.now()] == [Wish(), Wish()]
    broken.close()
    assert len([told for told in caplog.messages if "can't be read" in told]) == 1


@pytest.mark.broker
@pytest.mark.skipif(os.geteuid() != 0, reason="only root can make a network of its own")
def test_up_opens_a_door_with_a_lock_once_phones_are_let_in(tmp_path: Path) -> None:
    """In a network namespace with an address beyond loopback, as a machine in a house has."""
    need("mosquitto", "broker")
    need("ip", "network")
    script = Path(__file__).with_name("up_in_a_house.py")
    house = (
        "ip link set lo up && ip link add v0 type veth peer name v1 && ip link set v1 up && "
        'ip addr add 10.77.0.1/24 dev v0 && ip link set v0 up && exec "$@"'
    )
    done = subprocess.run(
        [
            *(str(need("unshare", "network")), "--net", "sh", "-c", house, "sh"),
            *(sys.executable, str(script), str(tmp_path / "data")),
        ],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
        env={**os.environ, "PYTHONPATH": str(Path.cwd())},
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.splitlines()[-1] == "all of it"
