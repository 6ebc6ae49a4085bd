"""How high the sun stands. Pure, and on purpose coarser than the service's own reckoning.

Source: Cooper, P. I. (1969), The absorption of radiation in solar stills, Solar Energy 12,
333-346: declination = 23.45 sin(360/365 (284 + n)) degrees (from memory). The equation of
time is left out, so noon may be wrong by 16 minutes.
"""

import math
from datetime import datetime


def sine_of_elevation(at: datetime, latitude: float, longitude: float) -> float:
    """Sine of the sun's elevation: 1 overhead, 0 on the horizon, negative below it.

    Args:
        at: UTC.
        latitude: degrees, north positive.
        longitude: degrees, east positive.
    """
    day = at.timetuple().tm_yday
    hours = at.hour + at.minute / 60 + at.second / 3600
    declination = math.radians(23.45) * math.sin(math.radians(360 / 365 * (284 + day)))
    hour_angle = math.radians(15.0 * (hours - 12.0) + longitude)
    phi = math.radians(latitude)
    return math.sin(phi) * math.sin(declination) + math.cos(phi) * math.cos(declination) * math.cos(
        hour_angle
    )
