"""Closing a batch by time, by count, or by half of the broker's window."""

from datetime import UTC, datetime

import pytest

from devices.message import Message
from service.intake.batcher import Batcher
from service.intake.delivery import Delivery


def _deliveries(count: int) -> list[Delivery]:
    at = datetime(2026, 3, 1, tzinfo=UTC)
    return [
        Delivery(message=Message(topic="t", payload=b"%d" % n, received_at=at), mid=n, generation=1)
        for n in range(count)
    ]


def test_an_empty_batch_is_never_due() -> None:
    assert not Batcher().is_due(1e9, 1000)


@pytest.mark.parametrize(
    ("count", "window", "age_s", "due"),
    [
        pytest.param(199, 1000, 4.9, False, id="neither"),
        pytest.param(200, 1000, 0.0, True, id="by count"),
        pytest.param(1, 1000, 5.0, True, id="by time"),
        pytest.param(9, 20, 0.0, False, id="less than half of a small window"),
        pytest.param(10, 20, 0.0, True, id="half of a small window"),
        pytest.param(1, 1, 0.0, True, id="a window of one"),
    ],
)
def test_a_batch_is_due(count: int, window: int, age_s: float, due: bool) -> None:
    batcher = Batcher(close_after_s=5, close_at_count=200)
    batcher.add(_deliveries(count), now=100.0)
    assert batcher.is_due(100.0 + age_s, window) is due


def test_the_age_is_that_of_the_oldest_delivery() -> None:
    batcher = Batcher(close_after_s=5)
    batcher.add(_deliveries(1), now=100.0)
    batcher.add(_deliveries(1), now=104.0)
    assert batcher.seconds_left(104.0) == 1.0
    assert batcher.is_due(105.0, 1000)


def test_an_empty_addition_does_not_open_a_batch() -> None:
    batcher = Batcher(close_after_s=5)
    batcher.add([], now=0.0)
    batcher.add(_deliveries(1), now=100.0)
    assert not batcher.is_due(104.0, 1000)


def test_closing_gives_all_in_order_and_begins_anew() -> None:
    batcher = Batcher()
    batcher.add(_deliveries(3), now=0.0)
    assert [delivery.mid for delivery in batcher.close()] == [0, 1, 2]
    assert batcher.close() == ()
    assert not batcher.is_due(1e9, 1000)
