"""Where the sun stands and what it sends. Pure; arrays in, arrays out.

On purpose not the formulas of the service: an error in those must not hide here as well.

Sources: declination and equation of time: Spencer, J. W. (1971), Fourier series
representation of the position of the sun, Search 2, 172 (coefficients from memory). Clear sky:
Haurwitz, B. (1945), Insolation in relation to cloudiness and cloud density, J. Meteorol. 2,
154-166 (from memory). Cloud: Kasten, F. and Czeplak, G. (1980), Solar and terrestrial
radiation dependent on the amount and type of cloud, Solar Energy 24, 177-189 (from memory).
"""

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]

YEAR_H = 365.2425 * 24
_DEGREES_AN_HOUR = 15.0


def year_angle(hours: Values) -> Values:
    """How far the year has run [rad] at hours since 1970-01-01 00:00 UTC, a day off at most."""
    return np.asarray(2 * np.pi * (hours % YEAR_H) / YEAR_H)


def sine_of_height(hours: Values, latitude: float, longitude: float) -> Values:
    """Sine of the sun's height: 1 overhead, 0 on the horizon, negative below it.

    Args:
        hours: since 1970-01-01 00:00 UTC.
        latitude: degrees, north positive.
        longitude: degrees, east positive.
    """
    b = year_angle(hours)
    declination = (
        0.006918
        - 0.399912 * np.cos(b)
        + 0.070257 * np.sin(b)
        - 0.006758 * np.cos(2 * b)
        + 0.000907 * np.sin(2 * b)
        - 0.002697 * np.cos(3 * b)
        + 0.00148 * np.sin(3 * b)
    )
    ahead_h = (
        0.000075
        + 0.001868 * np.cos(b)
        - 0.032077 * np.sin(b)
        - 0.014615 * np.cos(2 * b)
        - 0.040849 * np.sin(2 * b)
    ) * (12.0 / np.pi)
    angle = np.radians(_DEGREES_AN_HOUR * (hours % 24.0 - 12.0 + ahead_h) + longitude)
    phi = np.radians(latitude)
    height = np.sin(phi) * np.sin(declination)
    return np.asarray(height + np.cos(phi) * np.cos(declination) * np.cos(angle))


def clear_sun_w_m2(sine: Values) -> Values:
    """What a level square metre gets under a clear sky [W/m²]; nothing from the horizon down."""
    up = np.maximum(sine, 1e-6)
    return np.where(sine > 0.0, 1098.0 * up * np.exp(-0.059 / up), 0.0)


def let_through(cloud: Values) -> Values:
    """The share of the clear sky's sun that cloud (0 to 1) lets through."""
    return np.asarray(1.0 - 0.75 * np.clip(cloud, 0.0, 1.0) ** 3.4)
