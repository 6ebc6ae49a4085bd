"""A broker for each test, a way to publish, and listeners that are stopped afterwards."""

from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Protocol

import pytest

from service.clock import FixedClock
from service.intake.broker_address import BrokerAddress
from service.intake.liveness import Patience
from service.intake.mqtt_listener import MqttListener
from tests.broker_fixture import RunningBroker, running_broker

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
QUICK = Patience(
    answer_within=2,
    keep_alive=2,
    silent_after=3,
    canary_every=0.5,
    ask_again_after=1,
    first_pause=0.1,
    longest_pause=0.3,
    steady_after=1,
)


class Listening(Protocol):
    def __call__(
        self,
        address: BrokerAddress,
        *,
        client_id: str = "shed",
        filters: Sequence[str] = ("shed/#",),
        data: Path | None = None,
        queue_size: int = 4000,
        patience: Patience = QUICK,
    ) -> MqttListener: ...


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[RunningBroker]:
    with running_broker(tmp_path / "broker") as running:
        yield running


@pytest.fixture
def listening() -> Iterator[Listening]:
    """Starts listeners, and stops those that are left."""
    stops: list[Callable[[], None]] = []

    def listen(
        address: BrokerAddress,
        *,
        client_id: str = "shed",
        filters: Sequence[str] = ("shed/#",),
        data: Path | None = None,
        queue_size: int = 4000,
        patience: Patience = QUICK,
    ) -> MqttListener:
        listener = MqttListener(
            address,
            client_id,
            filters,
            clock=FixedClock(NOON),
            queue_size=queue_size,
            data=data,
            patience=patience,
        )
        listener.start()
        stops.append(listener.stop)
        return listener

    yield listen
    for stop in stops:
        stop()
