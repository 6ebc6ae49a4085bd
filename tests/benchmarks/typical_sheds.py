"""Sheds that are not there, in the weather of typical years, as the outlook would see them.

Years come from typical-year files: those three that pvlib brings along, and any EPW file that
is named. Months of such a file are from different years: the nights at the seams, those that
begin on the last day of a month or on the first, are marked faulty, so they neither teach nor
count. Sheds are those of ``simulated_feeds.building`` with the time constants of three kinds
of walls; their numbers are guesses, no source.
"""

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta, timezone
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from service.climate.cold_surface import ColdSurface
from service.climate.outlook.night_row import NightRow, night_row
from service.climate.outlook.night_span import NightSpan
from service.climate.outlook.quarters import Quarters, quarter
from simulated_feeds.building.building import Building
from simulated_feeds.building.parameters import BuildingParameters
from simulated_feeds.day import DAY
from simulated_feeds.lamps.lamps import Lamps
from simulated_feeds.lamps.parameters import LampParameters
from simulated_feeds.outdoors.typical_year import TypicalYear, read_tmy2, read_tmy3

YEAR = 2001
NIGHTS = 364
FACTOR = 0.3
BELOW_K = 2.0
THERMOSTAT_C = 5.0
_EVERY_MIN = 5
_SAMPLES = 3

Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Walls:
    """Heat that air and mass store [J/K], what passes between [W/K], changes of air an hour."""

    air: float
    mass: float
    inner: float
    outer: float
    cracks: float

    def shed(self, heater_w: float = 0.0) -> BuildingParameters:
        """A shed with these walls."""
        return BuildingParameters(
            air_j_per_k=self.air,
            mass_j_per_k=self.mass,
            air_to_mass_w_per_k=self.inner,
            mass_to_outdoors_w_per_k=self.outer,
            cracks_per_h=self.cracks,
            vent_per_h=0.0,
            heater_w=heater_w,
            heater_on_c=THERMOSTAT_C - 0.5,
            heater_off_c=THERMOSTAT_C + 0.5,
            birds=20,
        )


LIGHT = Walls(air=2.2e5, mass=1.65e6, inner=100.0, outer=45.0, cracks=1.8)
LINED = Walls(air=3.65e5, mass=1.86e6, inner=110.0, outer=30.0, cracks=1.4)
INSULATED = Walls(air=7.1e5, mass=1.9e6, inner=120.0, outer=18.0, cracks=1.0)

# By kind: its parameters, watts of the lamps, and of which unheated kind it is.
SHEDS: Mapping[str, tuple[BuildingParameters, float, str]] = {
    "light": (LIGHT.shed(), 60.0, "light"),
    "lined": (LINED.shed(), 80.0, "lined"),
    "insul": (INSULATED.shed(), 100.0, "insul"),
    "heated": (LINED.shed(900.0), 80.0, "lined"),
    "weakheat": (LIGHT.shed(150.0), 60.0, "light"),
}
LIT = {"short night": (time(6, 30), time(20, 30)), "long night": (time(8), time(16))}


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """A shed's year: nights, and whether the pane was truly wet for half an hour in each.

    ``indoors`` are the same nights by one who has no outdoor thermometer, and takes the coldest
    surface to be ``BELOW_K`` colder than the air.
    """

    place: str
    shed: str
    lit: str
    rows: tuple[NightRow, ...]
    indoors: tuple[NightRow, ...]
    wet: Mapping[date, bool]


def pvlib_years() -> Sequence[TypicalYear]:
    """The three years that come with pvlib."""
    import pvlib  # type: ignore[import-untyped]

    folder = Path(pvlib.__file__).parent / "data"
    return (
        read_tmy3(folder / "703165TY.csv"),
        read_tmy3(folder / "723170TYA.CSV"),
        read_tmy2(folder / "12839.tm2"),
    )


def epw_year(path: Path) -> TypicalYear:
    """A year in EnergyPlus weather format, read by pvlib."""
    from pvlib.iotools import read_epw  # type: ignore[import-untyped]

    hours, place = read_epw(path)
    return TypicalYear(
        name=place["city"],
        latitude=place["latitude"],
        longitude=place["longitude"],
        utc_offset_h=place["TZ"],
        month=hours["month"].to_numpy(dtype=np.float64),
        temperature_c=hours["temp_air"].to_numpy(dtype=np.float64),
        dew_point_c=hours["temp_dew"].to_numpy(dtype=np.float64),
        humidity_pct=hours["relative_humidity"].to_numpy(dtype=np.float64),
        cloud=hours["total_sky_cover"].to_numpy(dtype=np.float64) / 10.0,
        wind_m_s=hours["wind_speed"].to_numpy(dtype=np.float64),
        sun_w_m2=hours["ghi"].to_numpy(dtype=np.float64),
        light_lx=hours["global_hor_illum"].to_numpy(dtype=np.float64),
    )


def series(year: TypicalYear, shed: str, lit: str = "short night") -> Series:
    """One shed in one year."""
    rng = np.random.default_rng(zlib.crc32(f"{year.name} {shed} {lit}".encode()))
    zone = timezone(timedelta(hours=year.utc_offset_h))
    begin = datetime(YEAR, 1, 1, tzinfo=zone).astimezone(UTC)
    quarters, film = _lived(year, shed, lit, begin, rng)
    inside = replace(
        quarters,
        outdoors_c=(),
        surface_c=[None if c is None else c - BELOW_K for c in quarters.shed_c],
    )
    rows: list[NightRow] = []
    indoors: list[NightRow] = []
    wet = {}
    for number in range(1, NIGHTS):
        evening = date(YEAR, 1, 1) + timedelta(days=number)
        night = _night(evening, zone, LIT[lit])
        seam = evening.day == 1 or (evening + timedelta(days=1)).day == 1
        rows.append(night_row(quarters, night, rows[-8:], surface_by="factor", faulty=seam))
        indoors.append(night_row(inside, night, indoors[-8:], surface_by="below", faulty=seam))
        since, until = (quarter(at) - quarters.first for at in (night.since, night.until))
        wet[evening] = bool(np.any((film[since : until - 1] > 1.0) & (film[since + 1 : until] > 1)))
    return Series(
        place=year.name, shed=shed, lit=lit, rows=tuple(rows), indoors=tuple(indoors), wet=wet
    )


def _night(evening: date, zone: timezone, lit: tuple[time, time]) -> NightSpan:
    def at(day: date, clock: time) -> datetime:
        return datetime.combine(day, clock, zone).astimezone(UTC)

    return NightSpan(
        evening=evening,
        light_since=at(evening, lit[0]),
        since=at(evening, lit[1]),
        until=at(evening + timedelta(days=1), lit[0]),
    )


def _lived(
    year: TypicalYear, shed: str, lit: str, begin: datetime, rng: np.random.Generator
) -> tuple[Quarters, Values]:
    parameters, watts, _ = SHEDS[shed]
    on, off = LIT[lit]
    zone = timezone(timedelta(hours=year.utc_offset_h))
    building = Building(parameters, Lamps(LampParameters(on=on, off=off, full_w=watts), zone))
    days = [building.day(year.day(begin + number * DAY), ()) for number in range(NIGHTS + 1)]

    def every(values: Sequence[Values]) -> Values:
        return np.concatenate(values)[::_EVERY_MIN]

    shed_true = every([day.temperature_c for day in days])
    vapour = every([day.vapour_pa for day in days])
    out_true = every([day.outdoors.temperature_c for day in days])
    sun = every([day.outdoors.sun_w_m2 for day in days])
    shed_c = shed_true + rng.normal(0.0, 0.15, len(shed_true))
    humidity = 100.0 * vapour / _saturation(shed_true)
    humidity += rng.normal(0.0, 1.5) + rng.normal(0.0, 0.8, len(humidity))
    dew_c = _dew_point(shed_c, np.clip(humidity, 1.0, 100.0))
    out_c = out_true + rng.normal(0.0, 0.2, len(out_true)) + 0.003 * sun
    shed_q, dew_q, out_q = (_quarters(values) for values in (shed_c, dew_c, out_c))
    surface = ColdSurface(temperature_factor=FACTOR)
    return (
        Quarters(
            first=quarter(begin),
            shed_c=shed_q.tolist(),
            dew_c=dew_q.tolist(),
            outdoors_c=out_q.tolist(),
            surface_c=[
                surface.at_c(inside, outside)
                for inside, outside in zip(shed_q.tolist(), out_q.tolist(), strict=True)
            ],
        ),
        _quarters(every([day.condensate_g for day in days])),
    )


def _quarters(values: Values) -> Values:
    return np.asarray(values.reshape(-1, _SAMPLES).mean(axis=1))


# Buck (1981) over water, from memory; the same there and back, so any such form would do here.
def _saturation(temperature_c: Values) -> Values:
    return np.asarray(611.21 * np.exp(17.502 * temperature_c / (240.97 + temperature_c)))


def _dew_point(temperature_c: Values, humidity_pct: Values) -> Values:
    power = np.log(_saturation(temperature_c) * humidity_pct / 100.0 / 611.21)
    return np.asarray(240.97 * power / (17.502 - power))
