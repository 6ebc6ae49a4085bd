"""The lamps keep to their programme."""

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from simulated_feeds.light import LAMPS_FULL_LX, illuminance_lx, lamp_share
from simulated_feeds.scenario import Lamps

AMSTERDAM = ZoneInfo("Europe/Amsterdam")
LAMPS = Lamps(on=time(6, 30), off=time(20, 30), dim=timedelta(minutes=30))


def share_at(hour: int, minute: int) -> float:
    return lamp_share(datetime(2026, 11, 25, hour, minute, tzinfo=AMSTERDAM), LAMPS)


@pytest.mark.parametrize(("hour", "minute"), [(0, 0), (6, 29), (20, 30), (23, 59)])
def test_lamps_are_dark_outside_their_programme(hour: int, minute: int) -> None:
    assert share_at(hour, minute) == 0.0


@pytest.mark.parametrize(("hour", "minute"), [(7, 0), (13, 0), (20, 0)])
def test_lamps_are_full_between_brightening_and_dimming(hour: int, minute: int) -> None:
    assert share_at(hour, minute) == 1.0


def test_lamps_brighten_in_equal_steps_of_two_minutes() -> None:
    shares = [share_at(6, 30 + minute) for minute in range(30)]
    assert shares == sorted(shares)
    assert sorted(set(shares)) == pytest.approx([step / 15 for step in range(1, 16)])


def test_lamps_dim_as_they_brightened() -> None:
    up = [share_at(6, 30 + minute) for minute in range(30)]
    down = [share_at(20, minute) for minute in range(30)]
    assert down == up[::-1]


@pytest.mark.parametrize(("hour", "minute"), [(6, 30), (20, 29)])
def test_lowest_step_counts_as_day(hour: int, minute: int) -> None:
    # 20 lx is the threshold of the configuration that goes with the feed.
    assert illuminance_lx(share_at(hour, minute), -0.3, 0.5) > 25.0


def test_dark_is_dark() -> None:
    assert illuminance_lx(0.0, -0.3, 0.5) == 0.0


def test_window_lets_in_little_beside_the_lamps() -> None:
    # At 53 degrees north the sun climbs to 60 degrees: sine 0.87.
    assert 50.0 < illuminance_lx(1.0, 0.87, 0.0) - LAMPS_FULL_LX < LAMPS_FULL_LX / 2


def test_clouds_darken_the_window() -> None:
    assert illuminance_lx(0.0, 0.87, 1.0) < illuminance_lx(0.0, 0.87, 0.0)
