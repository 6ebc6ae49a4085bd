"""Sheds that live some days, for tests to look at."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np

from simulated_feeds.building.building import Building, DayBalance
from simulated_feeds.building.climate import Climate
from simulated_feeds.building.parameters import BuildingParameters
from simulated_feeds.day import DAY, MINUTES, AirDay, Minutes, NestDay, OutdoorDay
from simulated_feeds.happening import Happening
from simulated_feeds.lamps.lamps import Lamps
from simulated_feeds.lamps.parameters import LampParameters
from simulated_feeds.outdoors.parameters import WeatherParameters
from simulated_feeds.outdoors.weather import Weather

AMSTERDAM = ZoneInfo("Europe/Amsterdam")
JANUARY, APRIL, JULY, OCTOBER = (datetime(2026, month, 10, tzinfo=UTC) for month in (1, 4, 7, 10))
SEASONS = (JANUARY, APRIL, JULY, OCTOBER)
DARK = LampParameters(full_w=0.0, full_lx=0.0)
# A shed in which nothing gives heat or water, and nothing holds or takes any but air and walls.
BARE = BuildingParameters(
    birds=0,
    heater_w=0.0,
    vent_per_h=0.0,
    window_sun_share=0.0,
    roof_sun_m2=0.0,
    clear_sky_w=0.0,
    clear_sky_k=0.0,
    water_g_per_h_pa=0.0,
    wood_g=0.0,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lived:
    """Days one after the other, and what each of them balanced."""

    days: tuple[AirDay, ...]
    balances: tuple[DayBalance, ...]

    def along(self, name: str) -> Minutes:
        """All minutes of one array of the air days."""
        return np.concatenate([getattr(day, name) for day in self.days])

    def outdoors(self, name: str) -> Minutes:
        """All minutes of one array of the weather."""
        return np.concatenate([getattr(day.outdoors, name) for day in self.days])


def live(
    at: datetime,
    days: int,
    *,
    seed: int = 1,
    building: BuildingParameters | None = None,
    lamps: LampParameters | None = None,
    happenings: Iterable[Happening] = (),
    warm: float | None = None,
) -> Lived:
    """A shed in Amsterdam's weather; with ``warm`` one nest box is so far warmed all the time."""
    told = tuple(happenings)
    weather = Weather(WeatherParameters(), seed, told)
    shed = Building(
        building or BuildingParameters(),
        Lamps(lamps or LampParameters(), AMSTERDAM, told),
        told,
    )
    found, balances = [], []
    for k in range(days):
        begins = at + k * DAY
        nests = () if warm is None else (nest(begins, warm),)
        found.append(shed.day(weather.day(begins), nests))
        assert shed.balance is not None
        balances.append(shed.balance)
    return Lived(days=tuple(found), balances=tuple(balances))


def nest(at: datetime, warm: float) -> NestDay:
    return NestDay(at=at, box="box-1", warm_share=np.full(MINUTES, warm))


def steady(at: datetime, temperature_c: float, dew_point_c: float = -30.0) -> OutdoorDay:
    """A day of still dark air."""
    return OutdoorDay(
        at=at,
        temperature_c=np.full(MINUTES, temperature_c),
        dew_point_c=np.full(MINUTES, dew_point_c),
        cloud=np.ones(MINUTES),
        wind_m_s=np.zeros(MINUTES),
        sun_w_m2=np.zeros(MINUTES),
    )


def bare(climate: Climate, building: BuildingParameters = BARE) -> Building:
    """A dark shed that begins with a climate of its own."""
    return Building(building, Lamps(DARK, AMSTERDAM), climate=climate)
