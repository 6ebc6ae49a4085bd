"""The lamps keep to their programme, by the local clock, and fail as they are made to."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from simulated_feeds.day import MINUTES, Minutes
from simulated_feeds.happening import Happening, What
from simulated_feeds.lamps.lamps import DAYLIGHT_LX_PER_W_M2, Lamps, within
from simulated_feeds.lamps.parameters import LampParameters
from simulated_feeds.outdoors.typical_year import read_tmy3
from tests.simulated_feeds.outdoors.hourly_statistics import FILES

AMSTERDAM = ZoneInfo("Europe/Amsterdam")
PRESET = LampParameters(on=time(6, 30), off=time(20, 30), dim=timedelta(minutes=30))
# In November Amsterdam is an hour ahead of UTC.
MIDNIGHT = datetime(2026, 11, 24, 23, 0, tzinfo=UTC)


def share(*happenings: Happening, lamps: LampParameters = PRESET) -> Minutes:
    return Lamps(lamps, AMSTERDAM, happenings).day(MIDNIGHT)


def happens(what: What, since_h: float, until_h: float, amount: float | None = None) -> Happening:
    return Happening(
        what=what,
        since=MIDNIGHT + timedelta(hours=since_h),
        until=MIDNIGHT + timedelta(hours=until_h),
        amount=amount,
    )


def lit(found: Minutes) -> tuple[int, int]:
    """The first minute with light and the first without after it."""
    minutes = np.flatnonzero(found)
    return int(minutes[0]), int(minutes[-1]) + 1


@pytest.mark.parametrize("minute", [0, 6 * 60 + 29, 20 * 60 + 30, 23 * 60 + 59])
def test_lamps_are_dark_outside_their_programme(minute: int) -> None:
    assert share()[minute] == 0.0


def test_lamps_are_full_between_brightening_and_dimming() -> None:
    assert np.all(share()[7 * 60 : 20 * 60] == 1.0)


def test_lamps_brighten_in_equal_steps_and_dim_as_they_brightened() -> None:
    up = share()[6 * 60 + 30 : 7 * 60]
    assert sorted(set(up.tolist())) == pytest.approx([step / 15 for step in range(1, 16)])
    assert np.all(np.diff(up) >= 0.0)
    assert np.array_equal(share()[20 * 60 : 20 * 60 + 30], up[::-1])


def test_lamps_without_dimming_are_full_at_once() -> None:
    found = share(lamps=LampParameters(dim=timedelta(0)))
    assert set(found.tolist()) == {0.0, 1.0}
    assert lit(found) == (6 * 60 + 30, 20 * 60 + 30)


def test_day_that_does_not_begin_at_midnight_is_the_same_light() -> None:
    lamps = Lamps(PRESET, AMSTERDAM)
    later = lamps.day(MIDNIGHT + timedelta(hours=17))
    assert np.array_equal(later[: 7 * 60], lamps.day(MIDNIGHT)[17 * 60 :])
    assert np.array_equal(later[7 * 60 :], lamps.day(MIDNIGHT + timedelta(days=1))[: 17 * 60])


@pytest.mark.parametrize(
    "at", [datetime(2026, 3, 28, 23, tzinfo=UTC), datetime(2026, 10, 24, 22, tzinfo=UTC)]
)
def test_lamps_go_by_the_local_clock_when_it_is_changed(at: datetime) -> None:
    first, end = lit(Lamps(PRESET, AMSTERDAM).day(at))
    on, off = ((at + timedelta(minutes=m)).astimezone(AMSTERDAM).time() for m in (first, end))
    assert (on, off) == (PRESET.on, PRESET.off)


def test_lamps_lengthen_with_the_weeks() -> None:
    growing = LampParameters(
        on=time(6, 0), off=time(20, 0), lengthen_from=date(2026, 11, 25), shortest_h=10.0
    )
    first, end = lit(share(lamps=growing))
    assert end - first == 10 * 60


def test_dead_lamps_are_dark_while_they_are_dead() -> None:
    found = share(happens(What.LAMPS_FAIL, 10.0, 12.5))
    assert not np.any(found[600:750])
    assert np.all(found[[599, 750]] == 1.0)


def test_lamps_left_on_are_full_at_midnight() -> None:
    found = share(happens(What.LAMPS_ON, 0.0, 2.0))
    assert np.all(found[:120] == 1.0)
    assert found[120] == 0.0


@pytest.mark.parametrize(("hours", "expected"), [(1.0, 5 * 60 + 30), (-2.0, 8 * 60 + 30)])
def test_timer_that_is_ahead_lights_the_lamps_too_early(hours: float, expected: int) -> None:
    first, end = lit(share(happens(What.TIMER_OFF, -48.0, 48.0, hours)))
    assert first == expected
    assert end - first == 14 * 60


def test_timer_put_right_at_noon_is_right_in_the_evening() -> None:
    assert lit(share(happens(What.TIMER_OFF, -48.0, 12.0, 1.0))) == (5 * 60 + 30, 20 * 60 + 30)


def test_happenings_of_other_days_do_not_matter() -> None:
    others = [happens(what, 24.0, 30.0) for what in What] + [
        happens(what, -6.0, 0.0) for what in What
    ]
    assert np.array_equal(share(*others), share())


def test_light_is_that_of_lamps_and_window_together() -> None:
    lamps = Lamps(LampParameters(full_lx=400.0, daylight_share=0.01), AMSTERDAM)
    found = lamps.light_lx(np.full(MINUTES, 0.5), np.full(MINUTES, 100.0))
    assert np.all(found == pytest.approx(200.0 + 100.0 * DAYLIGHT_LX_PER_W_M2 * 0.01))


@pytest.mark.parametrize("name", ["703165TY.csv", "723170TYA.CSV"])
def test_daylight_of_typical_years_agrees(name: str) -> None:
    """Illuminance and irradiance on the level, hour by hour in two TMY3 files; within 5 %."""
    year = read_tmy3(FILES / name)
    by_day = year.sun_w_m2 > 20.0
    ratio = year.light_lx[by_day].sum() / year.sun_w_m2[by_day].sum()
    assert ratio == pytest.approx(DAYLIGHT_LX_PER_W_M2, rel=0.05)


@pytest.mark.parametrize(
    ("since_min", "until_min", "expected"),
    [(-10, 5, (0, 5)), (1430, 2000, (1430, 1440)), (10.5, 11.5, (11, 12)), (-9, -3, (0, 0))],
)
def test_happening_holds_in_the_minutes_that_begin_within_it(
    since_min: float, until_min: float, expected: tuple[int, int]
) -> None:
    found = within(happens(What.LAMPS_FAIL, since_min / 60, until_min / 60), MIDNIGHT)
    assert (found.start, found.stop) == expected
