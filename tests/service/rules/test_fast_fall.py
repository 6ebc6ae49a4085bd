"""How fast it falls: by the slowest of three parts of half an hour."""

import math
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from service.rules.fast_fall import Falling

START = datetime(2026, 2, 2, 20, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


def rates(course: Callable[[float], float], minutes: int, every: int = 1) -> list[float]:
    """What is told of a course [°C by minute]."""
    falling = Falling(timedelta(minutes=3 * every))
    told = [falling.follow(START + n * MINUTE, course(n)) for n in range(0, minutes, every)]
    return [one for one in told if one is not None]


@pytest.mark.parametrize("every", [1, 2, 5, 10])
def test_a_steady_fall_is_told_as_it_is(every: int) -> None:
    told = rates(lambda n: 12.0 - n / 10.0, 90, every)
    assert told
    assert told == pytest.approx([6.0] * len(told))


def test_half_an_hour_must_be_heard_first() -> None:
    assert rates(lambda n: 12.0 - n / 10.0, 30) == []
    assert len(rates(lambda n: 12.0 - n / 10.0, 31)) == 1


def test_a_door_opened_for_a_visit_is_no_fall() -> None:
    def visited(n: float) -> float:
        return 12.0 - 3.0 * (20 <= n < 40) * math.exp(-max(0.0, n - 30) / 5.0)

    assert max(rates(visited, 120)) < 2.0


def test_a_door_left_open_in_frost_is_one() -> None:
    # Towards 0 °C with a time constant of an hour: the third part of ten minutes still falls by
    # 12 (exp(-20/60) - exp(-30/60)) = 1.32 K, which is 7.9 K an hour.
    told = rates(lambda n: 12.0 * math.exp(-max(0.0, n - 60) / 60.0), 120)
    half_an_hour_on = told[90 - 30]
    assert half_an_hour_on == pytest.approx(72.0 * (math.exp(-1 / 3) - math.exp(-1 / 2)))


def test_across_a_gap_nothing_is_told() -> None:
    falling = Falling(timedelta(minutes=3))
    for n in range(40):
        falling.follow(START + n * MINUTE, 12.0)
    assert falling.follow(START + 60 * MINUTE, 4.0) is None


def test_a_chatterer_fills_no_memory() -> None:
    falling = Falling(timedelta(minutes=3))
    told = [falling.follow(START + timedelta(seconds=n), 12.0 - n / 600.0) for n in range(3600)]
    assert len([one for one in told if one is not None]) < 100
