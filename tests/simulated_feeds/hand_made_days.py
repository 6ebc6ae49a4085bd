"""Days of a shed made by hand: smooth air, nests as told, for tests of what measures them."""

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime

import numpy as np

from simulated_feeds.day import (
    DAY,
    MINUTES,
    AirDay,
    BoxAir,
    Minutes,
    NestDay,
    OutdoorDay,
    ShedDay,
)

START = datetime(2026, 3, 1, tzinfo=UTC)


def even(value: float) -> Minutes:
    """One value all day."""
    return np.full(MINUTES, value)


def air_day(
    at: datetime = START,
    *,
    temperature_c: Minutes | float = 12.0,
    vapour_pa: Minutes | float = 900.0,
    light_lx: Minutes | float = 300.0,
    mains: Minutes | float = 1.0,
    boxes: Sequence[str] = (),
) -> AirDay:
    """A day of air, even where a number is given; boxes are 3 °C warmer and a little damper."""
    warmth, vapour, light, power = (
        one if isinstance(one, np.ndarray) else even(one)
        for one in (temperature_c, vapour_pa, light_lx, mains)
    )
    outdoors = OutdoorDay(
        at=at,
        temperature_c=even(5.0),
        dew_point_c=even(2.0),
        cloud=even(0.5),
        wind_m_s=even(3.0),
        sun_w_m2=even(0.0),
    )
    return AirDay(
        at=at,
        outdoors=outdoors,
        temperature_c=warmth,
        vapour_pa=vapour,
        surface_c=warmth - 1.0,
        condensate_g=even(0.0),
        lamp_share=even(1.0),
        light_lx=light,
        heater_w=even(0.0),
        mains=power,
        boxes={box: BoxAir(temperature_c=warmth + 3.0, vapour_pa=vapour * 1.1) for box in boxes},
    )


def smooth_days(
    count: int,
    boxes: Sequence[str] = (),
    nests: Sequence[NestDay] = (),
    start: datetime = START,
) -> Iterator[ShedDay]:
    """Some days with warm afternoons and cold mornings, from ``start`` on."""
    hour = np.arange(MINUTES) / 60.0
    warmth = 12.0 + 4.0 * np.sin(2.0 * np.pi * (hour - 9.0) / 24.0)
    for number in range(count):
        at = start + number * DAY
        air = air_day(at, temperature_c=warmth + 0.1 * (number % 7), boxes=boxes)
        yield ShedDay(air=air, nests=tuple(nest for nest in nests if nest.at == at))
