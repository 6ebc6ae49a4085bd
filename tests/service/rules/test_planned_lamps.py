"""What the plan says of an instant: lit, dark, or either."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from service.climate.light_plan import LampSchedule, LightPlan, Site
from service.rules.planned_lamps import Meant, PlannedLamps

ZONE = ZoneInfo("Europe/Amsterdam")
HERE = Site(timezone=ZONE, latitude=53.2, longitude=6.6)
DIM = timedelta(minutes=30)


def lamps(on: time, off: time, site: Site = HERE) -> PlannedLamps:
    return PlannedLamps(LightPlan(site=site, schedule=LampSchedule(on=on, off=off, dim=DIM)))


def at(month: int, day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=ZONE).astimezone(UTC)


@pytest.mark.parametrize(
    ("hour", "minute", "meant"),
    [
        (3, 0, Meant.DARK),
        (6, 14, Meant.DARK),
        (6, 16, Meant.EITHER),
        (6, 59, Meant.EITHER),
        (7, 0, Meant.LIT),
        (19, 59, Meant.LIT),
        (20, 0, Meant.EITHER),
        (20, 44, Meant.EITHER),
        (20, 46, Meant.DARK),
    ],
)
def test_a_winter_day_is_its_lamps(hour: int, minute: int, meant: Meant) -> None:
    assert lamps(time(6, 30), time(20, 30)).meant(at(2, 2, hour, minute)) is meant


def test_light_of_a_summer_morning_is_no_light_at_night() -> None:
    # Civil twilight begins at about 04:20 there on 21 June (from memory).
    assert lamps(time(6, 30), time(20, 30)).meant(at(6, 21, 5)) is Meant.EITHER


def test_where_nobody_knows_the_sun_only_the_depth_of_night_is_dark() -> None:
    unknown = lamps(time(6, 30), time(20, 30), Site(timezone=ZONE))
    assert unknown.meant(at(2, 2, 5)) is Meant.EITHER
    assert unknown.meant(at(2, 2, 1, 25)) is Meant.EITHER
    assert unknown.meant(at(2, 2, 1, 29)) is Meant.EITHER


def test_lamps_across_midnight_burn_on_both_dates() -> None:
    late = lamps(time(16, 0), time(2, 0))
    assert late.meant(at(2, 2, 1)) is Meant.LIT
    assert late.meant(at(2, 2, 23)) is Meant.LIT
    assert late.meant(at(2, 2, 4)) is Meant.DARK


@pytest.mark.parametrize(("month", "day"), [(3, 29), (10, 25)])
def test_on_the_days_when_clocks_change_the_lamps_go_by_the_local_clock(
    month: int, day: int
) -> None:
    planned = lamps(time(6, 30), time(20, 30))
    assert planned.meant(at(month, day, 7, 1)) is Meant.LIT
    burning = planned.burning(at(month, day, 12))
    assert burning is not None
    assert burning.on_at == at(month, day, 6, 30)
    assert burning.off_at == at(month, day, 20, 30)


def test_without_lamps_nothing_is_planned() -> None:
    planned = PlannedLamps(LightPlan(site=HERE))
    assert not planned.has_lamps
    assert planned.burning(at(2, 2, 12)) is None
