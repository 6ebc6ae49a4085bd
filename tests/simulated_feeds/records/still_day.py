"""A day of a shed in which nothing moves, to be changed by a test."""

from collections.abc import Mapping
from datetime import UTC, datetime

import numpy as np

from simulated_feeds.day import MINUTES, AirDay, BoxAir, Minutes, NestDay, OutdoorDay, ShedDay

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def level(value: float) -> Minutes:
    return np.full(MINUTES, value)


def lit_until(minute: int, again: int) -> Minutes:
    """Light [lx] that goes out at a minute and comes again at another."""
    light = level(450.0)
    light[minute:again] = 0.0
    return light


def outdoor_day(at: datetime = NOON) -> OutdoorDay:
    return OutdoorDay(
        at=at,
        temperature_c=level(4.0),
        dew_point_c=level(1.0),
        cloud=level(0.5),
        wind_m_s=level(2.0),
        sun_w_m2=level(0.0),
    )


def air_day(
    at: datetime = NOON,
    *,
    temperature_c: Minutes | None = None,
    vapour_pa: Minutes | None = None,
    condensate_g: Minutes | None = None,
    light_lx: Minutes | None = None,
    boxes: Mapping[str, BoxAir] | None = None,
) -> AirDay:
    light = lit_until(480, 1080) if light_lx is None else light_lx
    return AirDay(
        at=at,
        outdoors=outdoor_day(at),
        temperature_c=level(12.0) if temperature_c is None else temperature_c,
        vapour_pa=level(900.0) if vapour_pa is None else vapour_pa,
        surface_c=level(8.0),
        condensate_g=level(0.0) if condensate_g is None else condensate_g,
        lamp_share=(light > 0).astype(float),
        light_lx=light,
        heater_w=level(100.0),
        mains=level(1.0),
        boxes=boxes or {},
    )


def shed_day(air: AirDay | None = None, nests: tuple[NestDay, ...] = ()) -> ShedDay:
    return ShedDay(air=air or air_day(), nests=nests)
