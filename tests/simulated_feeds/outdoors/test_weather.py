"""Days of weather: smooth, joined without gap, led where a scenario wants, and repeatable."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest

from simulated_feeds.day import DAY, MINUTES, OutdoorDay
from simulated_feeds.happening import Happening, What
from simulated_feeds.impossible import ImpossibleParameterError
from simulated_feeds.outdoors.parameters import WeatherParameters
from simulated_feeds.outdoors.weather import Weather, between_hours

PRESENTS = [datetime(2026, month, 10, 11, 20, tzinfo=UTC) for month in (1, 4, 7, 10)]
PRESET = WeatherParameters()


def led(what: What, at: datetime, hours: float, amount: float | None = None) -> Happening:
    return Happening(what=what, since=at, until=at + timedelta(hours=hours), amount=amount)


def run(weather: Weather, at: datetime, days: int) -> list[OutdoorDay]:
    return [weather.day(at + k * DAY) for k in range(days)]


def temperatures(days: list[OutdoorDay]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.concatenate([day.temperature_c for day in days])


def test_day_has_1440_sound_minutes() -> None:
    for day in run(Weather(PRESET, 1), PRESENTS[0], 20):
        for values in (day.temperature_c, day.dew_point_c, day.cloud, day.wind_m_s, day.sun_w_m2):
            assert values.shape == (MINUTES,)
            assert np.all(np.isfinite(values))
        assert np.all(day.dew_point_c < day.temperature_c)
        assert np.all((day.cloud >= 0.0) & (day.cloud <= 1.0))
        assert np.all(day.wind_m_s >= 0.0)
        assert np.all(day.sun_w_m2 >= 0.0)


def test_any_day_can_be_asked_for_alone() -> None:
    first = run(Weather(PRESET, 1), PRESENTS[1], 9)[-1]
    alone = Weather(PRESET, 1).day(PRESENTS[1] + 8 * DAY)
    assert np.array_equal(first.temperature_c, alone.temperature_c)
    assert np.array_equal(first.sun_w_m2, alone.sun_w_m2)


def test_minutes_do_not_depend_on_where_the_day_begins() -> None:
    at = PRESENTS[1]
    one, other = (Weather(PRESET, 1).day(at + timedelta(minutes=m)) for m in (0, 500))
    assert one.temperature_c[500:] == pytest.approx(other.temperature_c[:940], abs=1e-9)


@pytest.mark.parametrize("at", PRESENTS, ids=lambda at: f"{at:%B}")
def test_air_outdoors_has_no_leaps(at: datetime) -> None:
    found = temperatures(run(Weather(PRESET, 1), at, 20))
    # Fronts bring up to 3 K in an hour.
    assert np.max(abs(np.diff(found))) < 0.1


def test_curve_between_hours_goes_through_them_and_follows_straight_lines() -> None:
    values = np.array([3.0, 1.0, 4.0, 1.0, 5.0, 9.0])
    assert between_hours(values, np.array([1.0, 2.0, 3.0])) == pytest.approx(values[1:4])
    line = 2.0 * np.arange(6.0) - 1.0
    assert between_hours(line, np.array([1.25, 2.5])) == pytest.approx([1.5, 4.0])


@pytest.mark.parametrize("at", PRESENTS, ids=lambda at: f"{at:%B}")
@pytest.mark.parametrize("low", [-9.0, -2.0, 2.0])
def test_cold_night_has_the_low_that_was_asked_for(at: datetime, low: float) -> None:
    night = led(What.COLD_NIGHT, at + timedelta(days=2), 22.0, low)
    found = Weather(PRESET, 1, [night])
    day = found.day(night.since)
    assert np.min(day.temperature_c[: 22 * 60]) == pytest.approx(low, abs=0.35)
    # It is a clear calm night; the low itself, before or in the morning, may have begun to go.
    assert np.min(day.cloud) == 0.0


@pytest.mark.parametrize("at", PRESENTS, ids=lambda at: f"{at:%B}")
def test_heat_wave_has_the_high_that_was_asked_for(at: datetime) -> None:
    wave = led(What.HEAT_WAVE, at + timedelta(days=2), 96.0, 34.0)
    found = temperatures(run(Weather(PRESET, 1, [wave]), wave.since, 4))
    assert np.max(found) == pytest.approx(34.0, abs=0.35)


@pytest.mark.parametrize("at", PRESENTS, ids=lambda at: f"{at:%B}")
def test_damp_night_is_foggy_and_mild(at: datetime) -> None:
    night = led(What.DAMP_NIGHT, at + timedelta(days=2), 20.0, 14.0)
    day = Weather(PRESET, 1, [night]).day(night.since)
    midst = slice(8 * 60, 14 * 60)
    assert np.max((day.temperature_c - day.dew_point_c)[midst]) < 0.5
    assert np.min(day.temperature_c[midst]) > 13.9
    assert np.min(day.cloud[midst]) == pytest.approx(1.0)


@pytest.mark.parametrize("what", [What.COLD_NIGHT, What.DAMP_NIGHT, What.HEAT_WAVE])
@pytest.mark.parametrize("at", PRESENTS, ids=lambda at: f"{at:%B}")
def test_weather_is_led_smoothly_and_only_within_its_bounds(what: What, at: datetime) -> None:
    happening = led(what, at + timedelta(days=1, minutes=17), 24.0)
    usual = temperatures(run(Weather(PRESET, 1), at, 4))
    found = temperatures(run(Weather(PRESET, 1, [happening]), at, 4))
    assert np.max(abs(np.diff(found))) < 0.15
    # Curves between hours look one and two hours ahead and behind.
    inside = slice(MINUTES + 17 - 120, 2 * MINUTES + 17 + 120)
    outside = np.delete(np.arange(4 * MINUTES), np.arange(4 * MINUTES)[inside])
    assert found[outside] == pytest.approx(usual[outside], abs=1e-9)


@pytest.mark.parametrize("what", [What.COLD_NIGHT, What.DAMP_NIGHT, What.HEAT_WAVE])
def test_weather_that_would_have_to_leap_is_refused(what: What) -> None:
    at = PRESENTS[0]
    with pytest.raises(ImpossibleParameterError, match=f"length of {what} is 5:00:00; allowed"):
        Weather(PRESET, 1, [led(what, at, 5.0)])
    assert np.all(np.isfinite(Weather(PRESET, 1, [led(what, at, 6.0)]).day(at).temperature_c))


def test_happenings_of_others_do_not_touch_the_weather() -> None:
    at = PRESENTS[0]
    others = [
        led(what, at, 12.0)
        for what in What
        if what.name not in {"COLD_NIGHT", "DAMP_NIGHT", "HEAT_WAVE"}
    ]
    usual, found = Weather(PRESET, 1).day(at), Weather(PRESET, 1, others).day(at)
    assert np.array_equal(usual.temperature_c, found.temperature_c)


def test_sun_of_the_day_is_less_under_cloud() -> None:
    days = run(Weather(PRESET, 1), datetime(2026, 6, 1, tzinfo=UTC), 30)
    by_cloud = sorted(
        (float(day.cloud[240:1200].mean()), float(day.sun_w_m2.mean())) for day in days
    )
    clear, covered = (np.mean([sun for _, sun in some]) for some in (by_cloud[:5], by_cloud[-5:]))
    assert clear > 2.0 * covered


def test_dew_point_moves_less_than_the_temperature_within_a_day() -> None:
    days = run(Weather(PRESET, 1), datetime(2026, 6, 1, tzinfo=UTC), 30)
    ranges = [(np.ptp(day.temperature_c), np.ptp(day.dew_point_c)) for day in days]
    warm, dew = np.mean(ranges, axis=0)
    assert dew < 0.8 * warm


def test_days_join_without_a_gap() -> None:
    days = run(Weather(PRESET, 1), PRESENTS[2], 5)
    for day, after in pairwise(days):
        assert abs(after.temperature_c[0] - day.temperature_c[-1]) < 0.1


def test_day_before_the_days_that_chance_knows_is_refused() -> None:
    with pytest.raises(ImpossibleParameterError, match="1970-12-31; allowed is 1971-01-01"):
        Weather(PRESET, 1).day(datetime(1970, 12, 31, 12, tzinfo=UTC))
    first = Weather(PRESET, 1).day(datetime(1971, 1, 1, tzinfo=UTC))
    assert np.all(np.isfinite(first.temperature_c))
