"""Accounts at the broker: what is written, and what a real mosquitto makes of it."""

import os
import stat
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.errors import InputError, NotKnownError
from service.machine.broker_accounts import SERVICE_ACCOUNT, BrokerAccounts
from tests.listening import wait_until
from tests.service.machine.mosquitto_with_accounts import Device, mosquitto_with, reload

pytestmark = pytest.mark.broker


@pytest.fixture
def accounts(tmp_path: Path) -> BrokerAccounts:
    made = BrokerAccounts(tmp_path / "broker")
    made.make_ready()
    return made


def service_of(accounts: BrokerAccounts) -> tuple[str, str]:
    return SERVICE_ACCOUNT, accounts.service_password_file.read_text().strip()


@pytest.fixture
def devices() -> Iterator[list[Device]]:
    """Clients that are ended afterwards."""
    made: list[Device] = []
    yield made
    for device in made:
        device.end()


def test_a_new_name_and_password_let_a_device_in_after_a_reload(
    tmp_path: Path, accounts: BrokerAccounts, devices: list[Device]
) -> None:
    with mosquitto_with(accounts, tmp_path / "run") as broker:
        password = accounts.add("th-shed")
        reload(broker)

        def is_let_in() -> bool:
            devices.append(Device(broker.port, "th-shed", password))
            return devices[-1].let_in

        wait_until(is_let_in)


@pytest.mark.parametrize(
    ("name", "password"),
    [(None, None), ("th-shed", "wrong"), ("th-shed", None), ("nobody", "x")],
    ids=["nobody", "wrong password", "no password", "unknown name"],
)
def test_who_has_no_account_is_refused(
    tmp_path: Path,
    accounts: BrokerAccounts,
    devices: list[Device],
    name: str | None,
    password: str | None,
) -> None:
    accounts.add("th-shed")
    with mosquitto_with(accounts, tmp_path / "run") as broker:
        devices.append(Device(broker.port, name, password))
        assert devices[0].answer == "Not authorized"


def test_a_device_writes_below_its_own_name_and_nowhere_else(
    tmp_path: Path, accounts: BrokerAccounts, devices: list[Device]
) -> None:
    password = accounts.add("th-shed")
    accounts.add("th-attic")
    with mosquitto_with(accounts, tmp_path / "run") as broker:
        watch = Device(broker.port, *service_of(accounts))
        device = Device(broker.port, "th-shed", password)
        devices += [watch, device]
        watch.subscribe("#")
        for topic in ("clutchweather/th-attic/senml", "clutchweather/th-shedx/senml", "gateway/x"):
            device.publish(topic, "forged")
        device.publish("clutchweather/th-shed/senml", "own")
        wait_until(lambda: bool(watch.heard))
        assert watch.heard == [("clutchweather/th-shed/senml", b"own")]


def test_a_device_reads_nothing_of_others(
    tmp_path: Path, accounts: BrokerAccounts, devices: list[Device]
) -> None:
    ours, theirs = accounts.add("th-shed"), accounts.add("th-attic")
    with mosquitto_with(accounts, tmp_path / "run") as broker:
        watch = Device(broker.port, *service_of(accounts))
        curious = Device(broker.port, "th-shed", ours)
        other = Device(broker.port, "th-attic", theirs)
        devices += [watch, curious, other]
        watch.subscribe("#")
        curious.subscribe("#")
        other.publish("clutchweather/th-attic/senml", "private")
        wait_until(lambda: bool(watch.heard))
        assert curious.heard == []


@pytest.mark.parametrize(
    "topic",
    [
        "clutchweather/#",
        "clutchweather/+/senml",
        "clutchweather",
        "clutchweather/th-shed/senml",
        "clutchweather/clutchweather/senml",
        "clutchweather/attic/canary",
        "clutchweather/attic/#",
        "clutchweather/attic/+",
    ],
)
def test_nobody_gets_an_account_that_speaks_for_others(
    accounts: BrokerAccounts, topic: str
) -> None:
    accounts.add("th-shed")
    before = accounts.access_file.read_text()
    with pytest.raises(InputError, match="what others speak under"):
        accounts.add("gateway-1", ["gateway/#", topic])
    assert accounts.access_file.read_text() == before


def test_a_gateway_may_speak_for_a_sender_without_an_account(accounts: BrokerAccounts) -> None:
    accounts.add("gateway-1", ["clutchweather/attic/senml", "clutchweather/gateway-1/#"])
    assert len(accounts.topics("gateway-1")) == 2


def test_a_gateway_writes_to_the_topics_that_were_named_for_it(
    tmp_path: Path, accounts: BrokerAccounts, devices: list[Device]
) -> None:
    password = accounts.add("gateway-1", ["radio/+/state", "radio bridge/#"])
    with mosquitto_with(accounts, tmp_path / "run") as broker:
        watch = Device(broker.port, *service_of(accounts))
        gateway = Device(broker.port, "gateway-1", password)
        devices += [watch, gateway]
        watch.subscribe("#")
        gateway.publish("clutchweather/gateway-1/senml", "not named")
        gateway.publish("radio/7/state", "a")
        gateway.publish("radio bridge/log", "b")
        wait_until(lambda: len(watch.heard) >= 2)
        assert watch.heard == [("radio/7/state", b"a"), ("radio bridge/log", b"b")]


def test_the_service_hears_its_own_canary_and_writes_nothing_else(
    tmp_path: Path, accounts: BrokerAccounts, devices: list[Device]
) -> None:
    with mosquitto_with(accounts, tmp_path / "run") as broker:
        watch = Device(broker.port, *service_of(accounts))
        devices.append(watch)
        watch.subscribe("#")
        watch.publish("clutchweather/th-shed/senml", "made up")
        watch.publish("clutchweather/clutchweather-012345678/canary", "still there")
        wait_until(lambda: bool(watch.heard))
        assert watch.heard == [("clutchweather/clutchweather-012345678/canary", b"still there")]


def test_an_account_that_was_removed_is_refused_at_the_next_connection(
    tmp_path: Path, accounts: BrokerAccounts, devices: list[Device]
) -> None:
    password = accounts.add("th-shed")
    with mosquitto_with(accounts, tmp_path / "run") as broker:
        accounts.remove("th-shed")
        reload(broker)

        def is_refused() -> bool:
            devices.append(Device(broker.port, "th-shed", password))
            return not devices[-1].let_in

        wait_until(is_refused)


def test_a_renewed_password_counts_and_the_old_one_does_not(
    tmp_path: Path, accounts: BrokerAccounts, devices: list[Device]
) -> None:
    old = accounts.add("th-shed", ["radio/#"])
    new = accounts.renew("th-shed")
    assert accounts.topics("th-shed") == ("radio/#",)
    with mosquitto_with(accounts, tmp_path / "run") as broker:
        devices += [Device(broker.port, "th-shed", old), Device(broker.port, "th-shed", new)]
        assert [device.let_in for device in devices] == [False, True]


def test_the_password_is_in_no_file_but_that_of_the_service(accounts: BrokerAccounts) -> None:
    password = accounts.add("th-shed")
    assert all(password not in file.read_text() for file in accounts.folder.iterdir())
    assert stat.S_IMODE(accounts.service_password_file.stat().st_mode) == 0o600


def test_the_brokers_files_are_for_its_group_and_nobody_else(accounts: BrokerAccounts) -> None:
    for file in (accounts.passwords_file, accounts.access_file):
        assert stat.S_IMODE(file.stat().st_mode) == 0o640


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can give a folder to another group")
def test_files_get_the_group_of_a_folder_that_hands_it_on(tmp_path: Path) -> None:
    folder = tmp_path / "broker"
    folder.mkdir()
    os.chown(folder, 0, 65534)
    folder.chmod(0o2750)
    accounts = BrokerAccounts(folder)
    accounts.make_ready()
    accounts.add("th-shed")
    assert accounts.passwords_file.stat().st_gid == 65534
    assert accounts.access_file.stat().st_gid == 65534


def test_names_are_those_of_devices(accounts: BrokerAccounts) -> None:
    accounts.add("th-shed")
    accounts.add("gateway-1", ["radio/#"])
    assert accounts.names() == ("gateway-1", "th-shed")
    accounts.remove("th-shed")
    assert accounts.names() == ("gateway-1",)


@pytest.mark.parametrize(
    "name",
    ["", "a b", "a:b", "a/b", "a#", "+", "../x", "-x", "x" * 33, "a\nuser b", "é", "clutchweather"],
)
def test_a_name_that_would_mean_something_else_is_refused(
    accounts: BrokerAccounts, name: str
) -> None:
    before = accounts.access_file.read_bytes(), accounts.passwords_file.read_bytes()
    with pytest.raises(InputError):
        accounts.add(name)
    assert (accounts.access_file.read_bytes(), accounts.passwords_file.read_bytes()) == before


@pytest.mark.parametrize(
    "topic",
    ["", "#", "+/x", "$SYS/#", "a/#/b", "a\nuser b", "a\ntopic read #", " a", "/a", "a+", "a\0"],
)
def test_a_topic_that_would_open_more_is_refused(accounts: BrokerAccounts, topic: str) -> None:
    with pytest.raises(InputError):
        accounts.add("gateway-1", [topic])
    assert accounts.names() == ()


def test_a_second_account_of_one_name_is_refused_and_the_first_stands(
    accounts: BrokerAccounts,
) -> None:
    accounts.add("th-shed")
    before = accounts.passwords_file.read_bytes()
    with pytest.raises(InputError, match="already"):
        accounts.add("th-shed")
    assert accounts.passwords_file.read_bytes() == before


@pytest.mark.parametrize("act", ["remove", "renew", "topics"])
@pytest.mark.parametrize("name", ["nobody", SERVICE_ACCOUNT])
def test_who_has_no_account_is_told(accounts: BrokerAccounts, act: str, name: str) -> None:
    with pytest.raises(NotKnownError, match=name):
        getattr(accounts, act)(name)


def test_the_broker_is_told_of_every_change(tmp_path: Path) -> None:
    told: list[str] = []
    accounts = BrokerAccounts(tmp_path, changed=lambda: told.append("changed"))
    accounts.make_ready()
    accounts.make_ready()
    assert len(told) == 1, "nothing was changed the second time"
    accounts.add("a")
    accounts.renew("a")
    accounts.remove("a")
    assert len(told) == 4


def test_changes_of_two_processes_at_once_are_all_kept(accounts: BrokerAccounts) -> None:
    script = (
        "import sys; from pathlib import Path\n"
        "from service.machine.broker_accounts import BrokerAccounts\n"
        "accounts = BrokerAccounts(Path(sys.argv[1]))\n"
        "[accounts.add(f'{sys.argv[2]}-{n}') for n in range(20)]\n"
    )
    writers = [
        subprocess.Popen([sys.executable, "-c", script, str(accounts.folder), name])
        for name in ("a", "b")
    ]
    assert [writer.wait(60) for writer in writers] == [0, 0]
    assert len(accounts.names()) == 40
    assert all(accounts.topics(name) for name in accounts.names())
