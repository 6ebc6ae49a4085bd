"""When the keeper looks."""

from datetime import UTC, datetime, time, timedelta

import pytest

from simulated_feeds.birds.calendar_day import calendar_day
from simulated_feeds.birds.states import NestState, instant
from simulated_feeds.chance import draws
from simulated_feeds.keeper.parameters import KeeperParameters
from simulated_feeds.keeper.visits import looks_of_day
from tests.simulated_feeds.birds.invented_air import ZONE
from tests.simulated_feeds.birds.lived_seasons import wide_season

DAY = datetime(2026, 2, 1, 23, tzinfo=UTC)  # midnight of the shed's clock


def local_times(nest: NestState, keeper: KeeperParameters, at: datetime = DAY) -> list[time]:
    found = looks_of_day(nest, calendar_day(at, ZONE), keeper, draws(1, "looks"))
    return [instant(at_s).astimezone(ZONE).time() for at_s, _ in found]


def test_an_empty_box_is_looked_into_each_evening() -> None:
    nest = NestState(box="box-2", place=2)
    assert local_times(nest, KeeperParameters()) == [time(18, 36)]


def test_boxes_are_gone_through_in_walking_order() -> None:
    keeper = KeeperParameters(minutes_a_box=4)
    times = [local_times(NestState(box="", place=place), keeper)[0] for place in (1, 2, 3)]
    assert times == [time(18, 34), time(18, 38), time(18, 42)]


def test_however_many_boxes_the_round_ends_before_the_birds_sleep() -> None:
    assert local_times(NestState(box="", place=500), KeeperParameters()) == [time(20, 30)]


@pytest.mark.parametrize("month", [1, 7])
def test_the_hour_is_the_shed_clocks_in_summer_and_winter(month: int) -> None:
    at = datetime(2026, month, 10, 3, tzinfo=UTC)
    assert local_times(NestState(box="", place=1), KeeperParameters(), at) == [time(18, 33)]


def test_while_eggs_are_laid_there_is_a_look_each_morning_too() -> None:
    lived = wide_season()
    kept = 0
    for clutch in lived.clutches[:20]:
        first, last = clutch.eggs[0].laid_at, clutch.eggs[-1].laid_at
        looks = [look.at for look in lived.looks if look.box == clutch.box]
        busy = [at for at in looks if first + timedelta(days=1) < at < last]
        mornings = sum(at.astimezone(ZONE).hour < 12 for at in busy)
        kept += mornings / max(1, len(busy) - mornings) > 0.8
    assert kept >= 17
