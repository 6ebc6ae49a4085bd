"""Sunrise, sunset and twilight against an ephemeris."""

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
import skyfield_data  # type: ignore[import-untyped]
from skyfield import almanac  # type: ignore[import-untyped]
from skyfield.api import load, load_file, wgs84  # type: ignore[import-untyped]

from service.climate.daylight import Daylight, SunPath, daylight, sun_is_down
from service.climate.light_plan import Site

NONE = None

# Skyfield 1.55 with DE421; PyEphem 4.2.1 agrees to a second. UTC: latitude, longitude, date,
# sunrise, sunset, civil dawn, civil dusk, day length [min] by another NOAA implementation.
EPHEMERIS = [
    (51.5, 0.0, "2026-03-20", "06:02:53", "18:12:59", "05:29:39", "18:46:20", 730.14),
    (51.5, 0.0, "2026-06-21", "03:42:38", "20:21:00", "02:54:52", "21:08:45", 998.41),
    (51.5, 0.0, "2026-09-23", "05:47:35", "17:56:10", "05:14:15", "18:29:24", 728.62),
    (51.5, 0.0, "2026-12-21", "08:03:12", "15:52:55", "07:22:52", "16:33:15", 469.75),
    (51.5, 0.0, "2026-01-15", "07:58:55", "16:20:18", "07:20:26", "16:58:47", 501.42),
    (53.5, -1.5, "2026-03-20", "06:08:41", "18:19:16", "05:33:53", "18:54:12", 730.63),
    (53.5, -1.5, "2026-06-21", "03:36:40", "20:38:57", "02:43:40", "21:31:58", 1022.32),
    (53.5, -1.5, "2026-09-23", "05:53:23", "18:02:18", "05:18:28", "18:37:06", 728.96),
    (53.5, -1.5, "2026-12-21", "08:20:00", "15:48:07", "07:36:53", "16:31:14", 448.14),
    (53.5, -1.5, "2026-01-15", "08:14:05", "16:17:09", "07:33:12", "16:58:03", 483.10),
    (60.3, -1.3, "2026-06-21", "02:37:28", "21:36:34", "00:39:32", "23:34:27", 1139.17),
    (60.3, -1.3, "2026-12-21", "09:10:07", "14:56:24", "08:11:15", "15:55:16", 346.34),
    (69.65, 18.96, "2026-03-20", "04:43:55", "17:01:30", "03:43:48", "18:02:04", 737.68),
    (69.65, 18.96, "2026-06-21", NONE, NONE, NONE, NONE, NONE),
    (69.65, 18.96, "2026-12-21", NONE, NONE, "08:31:15", "12:53:08", NONE),
    (69.65, 18.96, "2026-01-15", "10:29:40", "11:18:08", "07:57:09", "13:50:42", 49.13),
    (0.0, 0.0, "2026-03-20", "06:04:11", "18:10:41", "05:43:31", "18:31:21", 726.51),
]


def site(latitude: float, longitude: float, zone: str = "UTC") -> Site:
    return Site(timezone=ZoneInfo(zone), latitude=latitude, longitude=longitude)


def told(at: Site, on: date) -> Daylight:
    light = daylight(at, on)
    assert light is not None
    return light


def same(computed: datetime | None, expected: datetime | None, tolerance: timedelta) -> bool:
    if computed is None or expected is None:
        return computed is expected
    return abs(computed - expected) <= tolerance


@pytest.mark.parametrize("row", EPHEMERIS, ids=lambda row: f"{row[0]}N {row[2]}")
def test_times_agree_with_the_ephemeris(
    row: tuple[float, float, str, str | None, str | None, str | None, str | None, float | None],
) -> None:
    latitude, longitude, on = row[:3]
    # 60 s below 61° of latitude and 10 min near polar night: what a formula without an
    # ephemeris may be off. Civil twilight creeps at 60° in midsummer: 5 min.
    tolerance = timedelta(seconds=60) if latitude < 61 else timedelta(minutes=10)
    twilight_tolerance = tolerance if latitude < 60 else timedelta(minutes=5)
    light = told(site(latitude, longitude), date.fromisoformat(on))

    def utc(text: object) -> datetime | None:
        return datetime.fromisoformat(f"{on}T{text}+00:00") if text else None

    assert same(light.sunrise, utc(row[3]), tolerance)
    assert same(light.sunset, utc(row[4]), tolerance)
    assert same(light.civil_dawn, utc(row[5]), twilight_tolerance)
    assert same(light.civil_dusk, utc(row[6]), twilight_tolerance)


@pytest.mark.parametrize(
    "row", [row for row in EPHEMERIS if row[7]], ids=lambda row: f"{row[0]}N {row[2]}"
)
def test_length_of_day_agrees_with_another_implementation_of_the_equations(
    row: tuple[float, float, str, str, str, str, str, float],
) -> None:
    light = told(site(row[0], row[1]), date.fromisoformat(row[2]))
    assert light.length is not None
    length_min = light.length / timedelta(minutes=1)
    # That implementation is within 19 s of the ephemeris on the 49-minute day, 3 s elsewhere.
    assert length_min == pytest.approx(row[7], abs=1.0 if row[0] > 61 else 0.1)


def test_sunrise_of_a_local_date_may_lie_on_the_utc_day_before() -> None:
    # Skyfield 1.55 with DE421.
    light = told(site(-33.87, 151.21, "Australia/Sydney"), date(2026, 12, 21))
    minute = timedelta(seconds=60)
    assert same(light.sunrise, datetime(2026, 12, 20, 18, 40, 38, tzinfo=UTC), minute)
    assert same(light.sunset, datetime(2026, 12, 21, 9, 5, 24, tzinfo=UTC), minute)
    assert same(light.civil_dawn, datetime(2026, 12, 20, 18, 11, 29, tzinfo=UTC), minute)
    assert same(light.civil_dusk, datetime(2026, 12, 21, 9, 34, 34, tzinfo=UTC), minute)


def test_sunrise_and_sunset_agree_with_the_published_example_of_the_nrel_algorithm() -> None:
    # Reda and Andreas (2004), Solar position algorithm, appendix: 06:12:43 and 17:20:19 at
    # UTC-7 for 17 October 2003. From memory; pvlib 0.16.1 gives the same. Their day is that
    # of UTC, so their sunset is that of the local evening before.
    golden = site(39.742476, -105.1786, "Etc/GMT+7")
    sunrise = told(golden, date(2003, 10, 17)).sunrise
    sunset = told(golden, date(2003, 10, 16)).sunset
    minute = timedelta(seconds=60)
    assert same(sunrise, datetime(2003, 10, 17, 13, 12, 43, tzinfo=UTC), minute)
    assert same(sunset, datetime(2003, 10, 17, 0, 20, 19, tzinfo=UTC), minute)


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone"),
    [
        (53.2, 6.6, "Europe/Amsterdam"),
        (-43.5, 172.6, "Pacific/Auckland"),
        (21.3, -157.9, "Pacific/Honolulu"),
        (1.9, -157.4, "Pacific/Kiritimati"),
    ],
)
def test_every_third_week_of_a_year_agrees_with_skyfield(
    latitude: float, longitude: float, zone: str
) -> None:
    timescale = load.timescale(builtin=True)
    ephemeris = load_file(str(Path(skyfield_data.__file__).parent / "data" / "de421.bsp"))
    observer = ephemeris["earth"] + wgs84.latlon(latitude, longitude)
    here = site(latitude, longitude, zone)
    for day in range(0, 365, 21):
        light = told(here, date(2026, 1, 1) + timedelta(days=day))
        for find, computed, since in (
            (almanac.find_risings, light.sunrise, light.noon - timedelta(hours=12)),
            (almanac.find_settings, light.sunset, light.noon),
        ):
            start = timescale.from_datetime(since)
            end = timescale.from_datetime(since + timedelta(hours=12))
            times, real = find(observer, ephemeris["sun"], start, end, horizon_degrees=-0.8333)
            expected = [
                at.utc_datetime() for at, is_real in zip(times, real, strict=True) if is_real
            ]
            assert len(expected) == 1
            assert same(computed, expected[0], timedelta(seconds=6)), (day, computed, expected)
        assert light.noon.astimezone(here.timezone).date() == light.on
    ephemeris.close()


def test_polar_day_and_polar_night_are_told_apart() -> None:
    tromso = site(69.65, 18.96, "Europe/Oslo")
    summer, winter = told(tromso, date(2026, 6, 21)), told(tromso, date(2026, 12, 21))
    assert (summer.sun, summer.twilight) == (SunPath.ALWAYS_ABOVE, SunPath.ALWAYS_ABOVE)
    assert (winter.sun, winter.twilight) == (SunPath.ALWAYS_BELOW, SunPath.CROSSES)
    assert (summer.length, winter.length) == (timedelta(days=1), timedelta(0))
    pole = told(site(89.0, 0.0), date(2026, 12, 21))
    assert (pole.sun, pole.twilight) == (SunPath.ALWAYS_BELOW, SunPath.ALWAYS_BELOW)


def test_no_time_is_told_finer_than_a_second() -> None:
    polar_night = daylight(site(69.65, 18.96), date(2026, 12, 21))
    assert polar_night is not None
    assert polar_night.noon.microsecond == 0


def test_the_sun_is_down_from_sunset_to_sunrise() -> None:
    here = site(53.2, 6.6, "Europe/Amsterdam")
    evening, morning = told(here, date(2026, 3, 28)), told(here, date(2026, 3, 29))
    assert evening.sunset is not None
    assert morning.sunrise is not None
    second = timedelta(seconds=2)
    assert sun_is_down(here, evening.sunset - second) is False
    assert sun_is_down(here, evening.sunset + second) is True
    assert sun_is_down(here, morning.sunrise - second) is True
    assert sun_is_down(here, morning.sunrise + second) is False


def test_a_site_without_coordinates_tells_nothing() -> None:
    nowhere = Site(timezone=ZoneInfo("Europe/Amsterdam"))
    assert daylight(nowhere, date(2026, 3, 28)) is None
    assert sun_is_down(nowhere, datetime(2026, 3, 28, tzinfo=UTC)) is None
