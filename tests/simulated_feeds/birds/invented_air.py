"""Air and light for birds to live in, without a building: every box has its own nights."""

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np

from simulated_feeds.birds.nominal_air import nominal_air
from simulated_feeds.chance import draws
from simulated_feeds.day import MINUTES, AirDay, BoxAir

ZONE = ZoneInfo("Europe/Amsterdam")
BOXES = tuple(f"box-{n}" for n in range(1, 10))


def steady_air(at: datetime, *, temperature_c: float = 15.0, vapour_pa: float = 1600.0) -> AirDay:
    """The same all day in shed and boxes, lit from half past six till half past eight."""
    usual = nominal_air(at, ZONE)
    return AirDay(
        at=at,
        outdoors=usual.outdoors,
        temperature_c=np.full(MINUTES, temperature_c),
        vapour_pa=np.full(MINUTES, vapour_pa),
        surface_c=np.full(MINUTES, temperature_c + 3),
        condensate_g=usual.condensate_g,
        lamp_share=usual.lamp_share,
        light_lx=usual.light_lx,
        heater_w=usual.heater_w,
        mains=usual.mains,
        boxes={},
    )


def varied_air(at: datetime, boxes: Sequence[str], seed: int, sd_c: float = 2.5) -> AirDay:
    """Each box by itself warm or cold for two weeks at a time: mean 17 °C, ``sd_c`` around it."""
    usual = steady_air(at)
    days = (at - datetime(2026, 1, 1, tzinfo=at.tzinfo)).days
    own = {}
    for place, box in enumerate(boxes):
        stretch = (days + 5 * place) // 14
        level = float(draws(seed, f"{box} {stretch}").standard_normal())
        own[box] = BoxAir(
            temperature_c=np.full(MINUTES, 17.0 + sd_c * level), vapour_pa=usual.vapour_pa
        )
    return AirDay(
        at=at,
        outdoors=usual.outdoors,
        temperature_c=usual.temperature_c,
        vapour_pa=usual.vapour_pa,
        surface_c=usual.surface_c,
        condensate_g=usual.condensate_g,
        lamp_share=usual.lamp_share,
        light_lx=usual.light_lx,
        heater_w=usual.heater_w,
        mains=usual.mains,
        boxes=own,
    )
