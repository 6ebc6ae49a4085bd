"""Sunrise, sunset and civil twilight of a place, by its local date.

Source: the equations of NOAA's solar calculator, after J. Meeus, Astronomical Algorithms,
chapter 25 (low accuracy). Sea level; sunrise and sunset at -0.8333° (refraction and the
sun's radius), civil twilight at -6°. The time of a crossing is searched for on either side
of solar noon, so that the few minutes of a polar day are found too. Within some seconds of
an ephemeris below 61° of latitude. Pure.
"""

import math
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from functools import lru_cache

from service.climate.light_plan import Site

SUNRISE_ALTITUDE_DEG = -0.8333
CIVIL_ALTITUDE_DEG = -6.0

_J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)
_HALF_DAY = timedelta(hours=12)
_CLOSE_ENOUGH = timedelta(milliseconds=50)


class SunPath(StrEnum):
    """How the sun stands to an altitude from one solar midnight to the next."""

    CROSSES = "crosses"
    ALWAYS_ABOVE = "always above"
    ALWAYS_BELOW = "always below"


@dataclass(frozen=True, slots=True, kw_only=True)
class Daylight:
    """One local date; times are UTC and may fall on the neighbouring date.

    ``sun`` and ``twilight`` say why a time is None: polar day or polar night. Near their
    ends one of a pair may be None although the sun crosses: it rises and does not set again
    before the next solar midnight.
    """

    on: date
    noon: datetime
    sun: SunPath
    sunrise: datetime | None
    sunset: datetime | None
    twilight: SunPath
    civil_dawn: datetime | None
    civil_dusk: datetime | None

    @property
    def length(self) -> timedelta | None:
        """From sunrise to sunset: nothing in polar night, a whole day in polar day.

        None where the sun rises and does not set before the next solar midnight, or the
        other way round.
        """
        if self.sunrise is not None and self.sunset is not None:
            return self.sunset - self.sunrise
        polar = {SunPath.ALWAYS_ABOVE: timedelta(days=1), SunPath.ALWAYS_BELOW: timedelta(0)}
        return polar.get(self.sun)


@lru_cache(maxsize=1024)
def daylight(site: Site, on: date) -> Daylight | None:
    """The sun's day around the solar noon nearest to the local noon of ``on``.

    None where the site has no latitude or longitude.
    """
    if site.latitude is None or site.longitude is None:
        return None
    latitude, longitude = site.latitude, site.longitude
    noon = _solar_noon(longitude, datetime.combine(on, time(12), site.timezone).astimezone(UTC))

    def crossings(altitude_deg: float) -> tuple[SunPath, datetime | None, datetime | None]:
        up = _crossing(latitude, longitude, noon - _HALF_DAY, noon, altitude_deg)
        down = _crossing(latitude, longitude, noon + _HALF_DAY, noon, altitude_deg)
        if up or down:
            return SunPath.CROSSES, up, down
        above = _altitude_deg(latitude, longitude, noon) > altitude_deg
        return (SunPath.ALWAYS_ABOVE if above else SunPath.ALWAYS_BELOW), None, None

    sun, sunrise, sunset = crossings(SUNRISE_ALTITUDE_DEG)
    twilight, civil_dawn, civil_dusk = crossings(CIVIL_ALTITUDE_DEG)
    return Daylight(
        on=on,
        noon=_to_the_second(noon),
        sun=sun,
        sunrise=sunrise,
        sunset=sunset,
        twilight=twilight,
        civil_dawn=civil_dawn,
        civil_dusk=civil_dusk,
    )


def sun_is_down(site: Site, at: datetime) -> bool | None:
    """Whether the sun is below the horizon, as sunrise means it; None where no place is told."""
    if site.latitude is None or site.longitude is None:
        return None
    return _altitude_deg(site.latitude, site.longitude, at) < SUNRISE_ALTITUDE_DEG


def _crossing(
    latitude: float, longitude: float, midnight: datetime, noon: datetime, altitude_deg: float
) -> datetime | None:
    """When the sun passes an altitude between solar midnight and noon (in either order)."""
    low, high = midnight, noon
    if not (
        _altitude_deg(latitude, longitude, low)
        < altitude_deg
        <= _altitude_deg(latitude, longitude, high)
    ):
        return None
    while abs(high - low) > _CLOSE_ENOUGH:
        middle = low + (high - low) / 2
        if _altitude_deg(latitude, longitude, middle) < altitude_deg:
            low = middle
        else:
            high = middle
    return _to_the_second(high)


def _to_the_second(at: datetime) -> datetime:
    """Finer than the equations nobody needs to tell."""
    return at.replace(microsecond=0) + timedelta(seconds=round(at.microsecond / 1e6))


def _solar_noon(longitude: float, near: datetime) -> datetime:
    """The solar noon nearest to ``near``."""
    noon = near
    for _ in range(3):  # each pass leaves an error some thousand times smaller
        _, equation_min = _declination_and_equation_of_time(noon)
        off_min = _solar_time_min(longitude, noon, equation_min) - 720.0
        noon -= timedelta(minutes=(off_min + 720.0) % 1440.0 - 720.0)
    return noon


def _altitude_deg(latitude: float, longitude: float, at: datetime) -> float:
    """Altitude of the centre of the sun without refraction [°]."""
    declination, equation_min = _declination_and_equation_of_time(at)
    hour_angle = math.radians(_solar_time_min(longitude, at, equation_min) / 4.0 - 180.0)
    phi = math.radians(latitude)
    sine = math.sin(phi) * math.sin(declination)
    sine += math.cos(phi) * math.cos(declination) * math.cos(hour_angle)
    return math.degrees(math.asin(max(-1.0, min(1.0, sine))))


def _solar_time_min(longitude: float, at: datetime, equation_min: float) -> float:
    """True solar time of day [min]; not folded into one day."""
    utc = at.astimezone(UTC)
    clock_min = utc.hour * 60 + utc.minute + (utc.second + utc.microsecond / 1e6) / 60
    return clock_min + equation_min + 4.0 * longitude


def _declination_and_equation_of_time(at: datetime) -> tuple[float, float]:
    """Declination of the sun [rad] and true less mean solar time [min]."""
    century = (at - _J2000) / timedelta(days=36525)
    mean_longitude = math.radians(
        (280.46646 + century * (36000.76983 + century * 0.0003032)) % 360.0
    )
    anomaly = math.radians(357.52911 + century * (35999.05029 - century * 0.0001537))
    eccentricity = 0.016708634 - century * (0.000042037 + century * 0.0000001267)
    centre_deg = (
        math.sin(anomaly) * (1.914602 - century * (0.004817 + century * 0.000014))
        + math.sin(2 * anomaly) * (0.019993 - century * 0.000101)
        + math.sin(3 * anomaly) * 0.000289
    )
    node = math.radians(125.04 - 1934.136 * century)
    apparent_longitude = (
        mean_longitude + math.radians(centre_deg) - math.radians(0.00569 + 0.00478 * math.sin(node))
    )
    obliquity = math.radians(
        23.439291111
        - century * (0.0130041667 + century * (1.6389e-7 - century * 5.0361e-7))
        + 0.00256 * math.cos(node)
    )
    declination = math.asin(math.sin(obliquity) * math.sin(apparent_longitude))
    y = math.tan(obliquity / 2) ** 2
    equation = (
        y * math.sin(2 * mean_longitude)
        - 2 * eccentricity * math.sin(anomaly)
        + 4 * eccentricity * y * math.sin(anomaly) * math.cos(2 * mean_longitude)
        - 0.5 * y * y * math.sin(4 * mean_longitude)
        - 1.25 * eccentricity * eccentricity * math.sin(2 * anomaly)
    )
    return declination, 4.0 * math.degrees(equation)
