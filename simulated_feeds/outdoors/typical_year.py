"""Reader of typical years: a place's hourly weather, month by month from real years.

Files are read by path, for tests and benchmarks; none is part of the project.

Sources: Wilcox, S. and Marion, W. (2008), Users manual for TMY3 data sets, NREL/TP-581-43156
(comma-separated, a header of two lines, times in local standard time from 01:00 to 24:00);
Marion, W. and Urban, K. (1995), User's manual for TMY2s, NREL/SP-463-7668 (fixed columns;
positions from memory, compared with pvlib's reader). Solar values are means of the hour before.
"""

import csv
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from devices.errors import ClutchweatherError
from simulated_feeds.day import MINUTES, OutdoorDay
from simulated_feeds.outdoors.sunshine import Values

YEAR_H = 8760
_DIM_LX = 5_000.0


class TypicalYearError(ClutchweatherError, ValueError):
    """A file is no typical year that can be read; the message says where and why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TypicalYear:
    """8,760 hours from the first of January on; element ``k`` holds at ``k + 1`` o'clock.

    ``month`` is 1 to 12; °C, m/s, W/m² on the level and lx; cloud from 0 (clear) to 1.
    """

    name: str
    latitude: float
    longitude: float
    utc_offset_h: float
    month: Values
    temperature_c: Values
    dew_point_c: Values
    humidity_pct: Values
    cloud: Values
    wind_m_s: Values
    sun_w_m2: Values
    light_lx: Values

    def day(self, at: datetime) -> OutdoorDay:
        """The 1,440 minutes from ``at`` [UTC] on, along straight lines between the hours.

        The year goes round; the 29th of February is a second 28th.
        """
        minutes = at + timedelta(hours=self.utc_offset_h)
        hours = _hour_of_year(minutes) + np.arange(MINUTES) / 60.0

        def along(values: Values, shift_h: float = -1.0) -> Values:
            place = (hours + shift_h) % YEAR_H
            k = np.floor(place).astype(np.int64)
            share = place - k
            return np.asarray(values[k] * (1.0 - share) + values[(k + 1) % YEAR_H] * share)

        return OutdoorDay(
            at=at,
            temperature_c=along(self.temperature_c),
            dew_point_c=along(self.dew_point_c),
            cloud=along(self.cloud),
            wind_m_s=along(self.wind_m_s),
            sun_w_m2=along(self.sun_w_m2, -0.5),
        )


def read_tmy3(path: Path) -> TypicalYear:
    """A TMY3 file.

    Raises:
        TypicalYearError: no such columns or numbers, or not 8,760 hours.
        OSError: the file can't be read.
    """
    try:
        with path.open(encoding="ascii", newline="") as lines:
            place = next(csv.reader(lines))
            rows = list(csv.DictReader(lines))
        _whole(path, len(rows))
        return TypicalYear(
            name=place[1],
            latitude=float(place[4]),
            longitude=float(place[5]),
            utc_offset_h=float(place[3]),
            month=np.array([float(row["Date (MM/DD/YYYY)"][:2]) for row in rows]),
            temperature_c=_column(rows, "Dry-bulb (C)"),
            dew_point_c=_column(rows, "Dew-point (C)"),
            humidity_pct=_column(rows, "RHum (%)"),
            cloud=_column(rows, "TotCld (tenths)") / 10.0,
            wind_m_s=_column(rows, "Wspd (m/s)"),
            sun_w_m2=_column(rows, "GHI (W/m^2)"),
            light_lx=_light(_column(rows, "GH illum (lx)")),
        )
    except (ValueError, KeyError, IndexError, StopIteration) as error:
        raise TypicalYearError(f"{path} is no TMY3 file: {error}") from error


def read_tmy2(path: Path) -> TypicalYear:
    """A TMY2 file.

    Raises:
        TypicalYearError: numbers are not where they should be, or not 8,760 hours.
        OSError: the file can't be read.
    """
    try:
        head, *rows = path.read_text(encoding="ascii").splitlines()
        _whole(path, len(rows))
        return TypicalYear(
            name=head[7:29].strip(),
            latitude=_degrees(head[37:44]),
            longitude=_degrees(head[45:53]),
            utc_offset_h=float(head[33:36]),
            month=_slice(rows, 3, 5),
            temperature_c=_slice(rows, 67, 71) / 10.0,
            dew_point_c=_slice(rows, 73, 77) / 10.0,
            humidity_pct=_slice(rows, 79, 82),
            cloud=_slice(rows, 59, 61) / 10.0,
            wind_m_s=_slice(rows, 95, 98) / 10.0,
            sun_w_m2=_slice(rows, 17, 21),
            light_lx=_slice(rows, 35, 39) * 100.0,
        )
    except (ValueError, IndexError) as error:
        raise TypicalYearError(f"{path} is no TMY2 file: {error}") from error


def _whole(path: Path, rows: int) -> None:
    if rows != YEAR_H:
        raise TypicalYearError(f"{path} has {rows} hours; a typical year has {YEAR_H}")


def _column(rows: list[dict[str, str]], name: str) -> Values:
    return np.array([float(row[name]) for row in rows])


def _light(told: Values) -> Values:
    """Some files tell hundreds of lx under the same heading: no year's brightest hour is dim."""
    return told * 100.0 if np.max(told) < _DIM_LX else told


def _slice(rows: list[str], first: int, end: int) -> Values:
    return np.array([float(row[first:end]) for row in rows])


def _degrees(text: str) -> float:
    side, degrees, minutes = text.split()
    return (-1.0 if side in "SW" else 1.0) * (float(degrees) + float(minutes) / 60.0)


def _hour_of_year(local: datetime) -> float:
    """Hours since New Year in a year without a leap day."""
    day = 28 if (local.month, local.day) == (2, 29) else local.day
    since = local.replace(year=2001, day=day, tzinfo=UTC) - datetime(2001, 1, 1, tzinfo=UTC)
    return since / timedelta(hours=1)
