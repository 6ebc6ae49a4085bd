"""The listener against a mosquitto that speaks TLS, with a certificate made here."""

import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.intake.broker_address import BrokerAddress
from service.intake.mqtt_private_broker import free_port
from tests.broker_fixture import RunningBroker, running_broker
from tests.listening import listen_until, payloads, publish, wait_until
from tests.needs import lacking
from tests.service.intake.conftest import Listening

pytestmark = pytest.mark.broker


@pytest.fixture(scope="module")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A self-signed certificate for 127.0.0.1; its key lies beside it as ``key.pem``."""
    if shutil.which("openssl") is None:
        lacking("openssl", "broker")
    folder = tmp_path_factory.mktemp("tls")
    asked = (
        "req -x509 -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -days 2 -subj /CN=shed "
        f"-addext subjectAltName=IP:127.0.0.1 -keyout {folder}/key.pem "
        f"-out {folder}/certificate.pem"
    )
    subprocess.run(["openssl", *asked.split()], check=True, capture_output=True)
    return folder / "certificate.pem"


@pytest.fixture
def secured(tmp_path: Path, certificate: Path) -> Iterator[tuple[RunningBroker, int]]:
    """A broker with a plain listener, and the port of its second one, which speaks TLS."""
    port = free_port()
    with running_broker(
        tmp_path,
        f"listener {port} 127.0.0.1\ncertfile {certificate}\n"
        f"keyfile {certificate.with_name('key.pem')}\n",
    ) as broker:
        yield broker, port


def test_messages_arrive_over_tls_in_bursts_too(
    secured: tuple[RunningBroker, int], certificate: Path, listening: Listening
) -> None:
    broker, port = secured
    listener = listening(BrokerAddress(port=port, tls=True, ca_file=certificate))
    wait_until(lambda: listener.liveness().ok)
    sent = [str(n) * 50 for n in range(400)]
    publish(broker.address, sent)
    assert payloads(listen_until(listener, 400)) == sent


# paho leaves the socket of a failed handshake to the garbage collector.
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_a_certificate_that_nobody_vouches_for_is_refused_in_words(
    secured: tuple[RunningBroker, int], listening: Listening
) -> None:
    listener = listening(BrokerAddress(port=secured[1], tls=True))
    wait_until(lambda: "certificate" in listener.liveness().text.lower())
    assert not listener.liveness().connected
