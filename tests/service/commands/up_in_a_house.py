"""Runs ``up`` in a network of its own and follows it through the first hour of a shed."""

import signal
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

from paho.mqtt.publish import single

from devices.formats.senml import pack
from service.heartbeat import heartbeat_file, read_heartbeat
from service.intake.broker_standing import read_standing
from service.intake.mqtt_finding import Answer, Login, look_for_broker
from service.machine.broker_accounts import BrokerAccounts
from service.people.role import Role
from service.settings.load import load_settings
from service.store.kept_settings import Change
from service.wiring import open_stores
from tests.listening import wait_until

HOUSE = "10.77.0.1"
PORT = 1883


def main(data: Path) -> None:
    """Every claim fails with its own words."""
    command = [sys.executable, "-m", "service", "up", "--data", str(data)]
    with subprocess.Popen(command) as up:
        try:
            walk(data)
        finally:
            up.send_signal(signal.SIGINT)
            up.wait(30)
    assert look_for_broker("127.0.0.1", PORT).answer is Answer.NOBODY, "it is left behind"
    sys.stdout.write("all of it\n")


def walk(data: Path) -> None:
    wait_until(lambda: look_for_broker("127.0.0.1", PORT).answer is Answer.LETS_US_IN, within=30)
    assert look_for_broker(HOUSE, PORT).answer is Answer.NOBODY, "the house is shut at first"
    wait_until(lambda: _hears(data), within=20)
    let_in(data)
    wait_until(lambda: look_for_broker(HOUSE, PORT).answer is Answer.WANTS_A_PASSWORD, within=10)
    wait_until(lambda: getattr(read_standing(data), "reached_at", ()) == (HOUSE,), within=5)
    password = BrokerAccounts(data / "broker").add("th-shed")
    login = Login(name="th-shed", password=password)
    wait_until(lambda: look_for_broker(HOUSE, PORT, login).answer is Answer.LETS_US_IN, within=5)
    single(
        "clutchweather/th-shed/senml",
        pack("th-shed", {"temperature": (21.5, "Cel")}, datetime.now(UTC)),
        qos=1,
        hostname=HOUSE,
        auth={"username": "th-shed", "password": password},
    )
    wait_until(lambda: "th-shed" in _senders(data), within=20)


def let_in(data: Path) -> None:
    stores = open_stores(load_settings(None, data), data, writer=False)
    now = datetime.now(UTC)
    stores.records.people.add("Ann", Role.KEEPER, "a hash", now)
    kept = stores.records.kept.read()
    change = Change(at=now, by="Ann", what="Let phones in.", before="", after="")
    document = {**kept.document, "pages": {"bind": "0.0.0.0"}}
    stores.records.kept.put(document, based_on=kept.revision, change=change)
    stores.close()


def _hears(data: Path) -> bool:
    heartbeat = read_heartbeat(heartbeat_file(data))
    return heartbeat is not None and heartbeat.broker.startswith("connected")


def _senders(data: Path) -> list[str]:
    stores = open_stores(load_settings(None, data), data, writer=False)
    try:
        return [stranger.device for stranger in stores.readings.strangers()]
    finally:
        stores.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
