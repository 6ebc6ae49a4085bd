"""How often an unknown sender speaks is told by any two looks at it."""

from datetime import UTC, datetime, timedelta

from dashboards.arrivals import Arrivals
from service.store.reading_store import Overheard, Stranger

START = datetime(2026, 4, 20, 12, 0, tzinfo=UTC)


def stranger(seconds: float, count: int, measure: str = "temperature") -> Stranger:
    return Stranger(
        device="th-9",
        measure=measure,
        topic="clutchweather/th-9/senml",
        value=16.4,
        unit="Cel",
        at=START + timedelta(seconds=seconds),
        count=count,
    )


def overheard(seconds: float, count: int) -> Overheard:
    at = START + timedelta(seconds=seconds)
    return Overheard(topic="gateway/a1", payload=b"{}", reason="", at=at, count=count)


def test_one_look_tells_nothing() -> None:
    arrivals = Arrivals()
    for _ in range(3):
        arrivals.note([stranger(0, 7)], [])
    assert arrivals.of_device("th-9") is None


def test_two_looks_tell_the_mean_time_between_messages() -> None:
    arrivals = Arrivals()
    arrivals.note([stranger(0, 1)], [])
    arrivals.note([stranger(600, 6)], [])
    assert arrivals.of_device("th-9") == timedelta(seconds=120)


def test_a_pause_of_the_sender_does_not_count() -> None:
    arrivals = Arrivals()
    for seconds, count in [(0, 1), (60, 2), (7260, 3), (7320, 4), (7380, 5)]:
        arrivals.note([stranger(seconds, count)], [])
    assert arrivals.of_device("th-9") == timedelta(seconds=60)


def test_a_measure_that_is_sent_seldom_does_not_slow_its_sender() -> None:
    arrivals = Arrivals()
    for minute in range(4):
        arrivals.note([stranger(60 * minute, minute + 1), stranger(0, 1, "battery")], [])
    assert arrivals.of_device("th-9") == timedelta(seconds=60)


def test_who_was_forgotten_and_came_again_begins_anew() -> None:
    arrivals = Arrivals()
    arrivals.note([stranger(0, 100)], [])
    arrivals.note([stranger(3600, 1)], [])
    assert arrivals.of_device("th-9") is None
    arrivals.note([stranger(3630, 2)], [])
    assert arrivals.of_device("th-9") == timedelta(seconds=30)


def test_a_topic_is_watched_too() -> None:
    arrivals = Arrivals()
    arrivals.note([], [overheard(0, 1)])
    arrivals.note([], [overheard(30, 3)])
    assert arrivals.of_topic("gateway/a1") == timedelta(seconds=15)
    assert arrivals.of_topic("gateway/a2") is None


def test_memory_is_bounded_whatever_is_heard() -> None:
    arrivals = Arrivals()
    for n in range(2000):
        at = START + timedelta(seconds=n)
        arrivals.note([], [Overheard(topic=f"t/{n}", payload=b"", reason="", at=at)])
    assert arrivals.of_topic("t/0") is None
    assert len(arrivals._looks) <= 501
