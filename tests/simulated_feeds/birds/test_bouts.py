"""How much she sits, and when she does not."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from statistics import mean

import numpy as np
import pytest

from simulated_feeds.birds.bouts import Habit, bouts, stays
from simulated_feeds.birds.calendar_day import calendar_day
from simulated_feeds.birds.intervals import clipped, length_s
from simulated_feeds.chance import draws
from simulated_feeds.day import NestDay, Who
from tests.simulated_feeds.birds.invented_air import ZONE
from tests.simulated_feeds.birds.lived_seasons import Lived, minutes

DAY = timedelta(days=1)
WAKING = [(6 * 3600, 20 * 3600)]


def attentiveness(day: NestDay) -> float:
    """The share of the birds' waking time that the hen is in the box."""
    clock = calendar_day(day.at, ZONE)
    inside = [
        (int(stay.since.timestamp()), int(stay.until.timestamp()))
        for stay in day.stays
        if stay.who is Who.HEN
    ]
    awake = sum(length_s(clipped(inside, *span)) for span in clock.waking)
    return awake / length_s(clock.waking)


def sitting_days(lived: Lived) -> list[NestDay]:
    """Whole days between the last egg laid and the first that hatched."""
    found = []
    for clutch in lived.clutches:
        hatched = [egg.chick.hatched_at for egg in clutch.eggs if egg.chick is not None]
        if not hatched:
            continue
        since, until = clutch.eggs[-1].laid_at, min(hatched)
        found += [
            day
            for told in lived.days
            for day in told
            if day.box == clutch.box and since < day.at and day.at + DAY < until
        ]
    return found


def test_a_sitting_hen_is_on_her_eggs_98_per_cent_of_the_time_that_one_could_watch() -> None:
    # 98 to 100 % of observation time after the first egg: Behaviour (1977),
    # doi 10.1163/156853977x00243
    days = sitting_days(minutes())
    assert len(days) > 15
    assert 0.975 <= mean(attentiveness(day) for day in days) <= 1.0


def test_she_sits_through_the_night() -> None:
    for day in sitting_days(minutes()):
        clock = calendar_day(day.at, ZONE)
        inside = [stay for stay in day.stays if stay.who is Who.HEN]
        first = min(int(stay.since.timestamp()) for stay in inside)
        assert first == clock.begin_s
        assert max(int(stay.until.timestamp()) for stay in inside) == clock.end_s


def test_she_leaves_large_chicks_alone_most_of_the_day() -> None:
    # from ten days on: common practice, no source
    lived = minutes()
    found = []
    for clutch in lived.clutches:
        hatched = [egg.chick.hatched_at for egg in clutch.eggs if egg.chick is not None]
        left = [egg.chick.left_at for egg in clutch.eggs if egg.chick and egg.chick.left_at]
        if not hatched or not left or any(egg.fate is None for egg in clutch.eggs):
            continue
        found += [
            attentiveness(day)
            for told in lived.days
            for day in told
            if day.box == clutch.box and max(hatched) + 14 * DAY < day.at < min(left) - 2 * DAY
        ]
    assert found
    assert mean(found) < 0.4


def test_the_cock_comes_six_days_before_the_first_egg_and_not_earlier() -> None:
    # Behaviour (1977) as above; a day on either side, as a day's habits are laid out in the morning
    lived = minutes()
    for clutch in lived.clutches:
        if clutch.round > 1:
            continue
        visits = [
            stay.since
            for told in lived.days
            for day in told
            for stay in day.stays
            if day.box == clutch.box and stay.who is Who.COCK
        ]
        assert timedelta(days=3) < clutch.eggs[0].laid_at - min(visits) < timedelta(days=7)


def test_bouts_last_as_long_in_the_mean_as_asked() -> None:
    chance = draws(1, "bouts")
    found = [bouts(chance, WAKING, 0.5, 4.0) for _ in range(300)]
    lengths = [until - since for day in found for since, until in day]
    assert np.mean(lengths) == pytest.approx(240, rel=0.06)
    assert np.mean([len(day) for day in found]) == pytest.approx(7, rel=0.1)


def test_bouts_neither_overlap_nor_reach_into_the_night() -> None:
    chance = draws(1, "bouts")
    for _ in range(50):
        found = bouts(chance, WAKING, 6.0, 8.0)
        assert all(a[1] < b[0] for a, b in pairwise(found))
        assert all(WAKING[0][0] <= since < until <= WAKING[0][1] for since, until in found)


def test_nights_are_spent_as_the_habit_says() -> None:
    day = (0, 86400)
    visits = Habit(inside=False, a_waking_hour=1.0, minutes=5.0, nights=False)
    roosts = Habit(inside=False, a_waking_hour=1.0, minutes=5.0, nights=True)
    for habit, night in ((visits, 0), (roosts, 10 * 3600)):
        found = stays(draws(2, "nights"), habit, day, WAKING)
        asleep = length_s(clipped(found, 0, 6 * 3600)) + length_s(clipped(found, 72000, 86400))
        assert asleep == night


def test_calendar_day_knows_the_hour_that_is_lost_in_spring() -> None:
    # the EU's clocks went forward on 29 March 2026 at 01:00 UTC
    before = calendar_day(datetime(2026, 3, 28, 23, tzinfo=UTC), ZONE)
    assert before.waking == [(before.begin_s + int(5.5 * 3600), before.begin_s + int(19.5 * 3600))]
