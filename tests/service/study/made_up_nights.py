"""Nights of a shed that follows a simple law, for tests: a day's wave, days that differ."""

from datetime import UTC, date, datetime, timedelta

import numpy as np

from service.climate.outlook.night_row import NightRow, night_row
from service.climate.outlook.night_span import NightSpan
from service.climate.outlook.quarters import Quarters, quarter

FIRST = date(2026, 1, 10)
FITTED_AT = datetime(2026, 6, 1, 7, tzinfo=UTC)


def night_of(evening: date) -> NightSpan:
    """Lamps from 06:30 to 20:30, in a place that keeps UTC."""
    day = datetime(evening.year, evening.month, evening.day, tzinfo=UTC)
    return NightSpan(
        evening=evening,
        light_since=day + timedelta(hours=6.5),
        since=day + timedelta(hours=20.5),
        until=day + timedelta(hours=30.5),
    )


def quarters_of(days: int, *, seed: int = 1, floor_c: float | None = None) -> Quarters:
    """So many days from FIRST on: about 8 °C, warmest at 15:00, damp, colder outdoors.

    ``floor_c`` is a heater's setting: it never gets colder, but for its play.
    """
    rng = np.random.default_rng(seed)
    hours = np.arange(days * 96) / 4.0
    daily = np.interp(hours, np.arange(days + 1) * 24.0, 8.0 + rng.normal(0.0, 3.0, days + 1))
    swing = np.interp(hours, np.arange(days + 1) * 24.0, rng.uniform(3.0, 6.0, days + 1))
    shed = daily + swing * np.cos((hours - 15.0) / 24.0 * 2.0 * np.pi)
    outdoors = shed - 3.0 + rng.normal(0.0, 0.2, len(shed))
    if floor_c is not None:
        shed = np.maximum(shed, floor_c + rng.normal(0.0, 0.1, len(shed)))
    dew = daily - 3.0 + rng.normal(0.0, 0.3, len(shed))
    return Quarters(
        first=quarter(datetime(FIRST.year, FIRST.month, FIRST.day, tzinfo=UTC)),
        shed_c=tuple((shed + rng.normal(0.0, 0.05, len(shed))).tolist()),
        dew_c=tuple(dew.tolist()),
        outdoors_c=tuple(outdoors.tolist()),
        surface_c=tuple((shed - 2.0).tolist()),
    )


def rows_of(quarters: Quarters, nights: int) -> list[NightRow]:
    """Their rows, from the second day on."""
    rows: list[NightRow] = []
    for number in range(1, nights + 1):
        night = night_of(FIRST + timedelta(days=number))
        rows.append(night_row(quarters, night, rows[-8:], surface_by="below 2.0"))
    return rows
