"""Air and light of a shed as it usually is, for days before a scenario begins. Pure."""

from datetime import datetime
from functools import lru_cache
from zoneinfo import ZoneInfo

import numpy as np

from simulated_feeds.birds.calendar_day import calendar_day
from simulated_feeds.birds.water import minute
from simulated_feeds.day import MINUTES, AirDay, BoxAir, OutdoorDay

_SHED_C, _VAPOUR_PA, _LIGHT_LX = 15.0, 1100.0, 250.0


@lru_cache(maxsize=4)
def nominal_air(at: datetime, zone: ZoneInfo) -> AirDay:
    """15 °C, a little damp, lit while the birds are awake; boxes have the shed's air."""
    still = np.zeros(MINUTES)
    light = np.zeros(MINUTES)
    day = calendar_day(at, zone)
    for since, until in day.waking:
        light[minute(since, day.begin_s) : minute(until, day.begin_s)] = _LIGHT_LX
    warmth = np.full(MINUTES, _SHED_C)
    outdoors = OutdoorDay(
        at=at,
        temperature_c=np.full(MINUTES, 8.0),
        dew_point_c=np.full(MINUTES, 5.0),
        cloud=still,
        wind_m_s=still,
        sun_w_m2=still,
    )
    return AirDay(
        at=at,
        outdoors=outdoors,
        temperature_c=warmth,
        vapour_pa=np.full(MINUTES, _VAPOUR_PA),
        surface_c=np.full(MINUTES, _SHED_C - 2),
        condensate_g=still,
        lamp_share=(light > 0).astype(float),
        light_lx=light,
        heater_w=still,
        mains=np.ones(MINUTES),
        boxes=_NO_BOXES,
    )


_NO_BOXES: dict[str, BoxAir] = {}
