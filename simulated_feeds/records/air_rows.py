"""Hours and nights of the truth, out of minutes. Pure."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import numpy as np

from simulated_feeds.day import MINUTE, AirDay, Minutes
from simulated_feeds.moist_air import dew_point_c, humidity_pct, saturation_pa
from simulated_feeds.records.dark_times import Columns, DarkTime
from simulated_feeds.records.truth import BoxAirTold, BoxNight, Hour, Night
from simulated_feeds.scenario_files.scenario import Scenario

_HOUR_MINUTES = 60
_NOON_TO_MIDNIGHT = timedelta(hours=12)
_DEW = " dew"


def told_time(at: datetime) -> str:
    """RFC 3339, UTC."""
    return at.astimezone(UTC).isoformat().replace("+00:00", "Z")


def night_columns(air: AirDay, minutes: int) -> Columns:
    """What a night is summed up from: the first minutes of a day, by name."""
    found: dict[str, Minutes] = {
        "shed": air.temperature_c,
        "humidity": humidity_pct(air.temperature_c, air.vapour_pa),
        f"shed{_DEW}": dew_point_c(air.vapour_pa),
        "surface": air.surface_c,
        "condensate": air.condensate_g,
    }
    for box, inside in air.boxes.items():
        found[box] = inside.temperature_c
        found[f"{box}{_DEW}"] = dew_point_c(inside.vapour_pa)
    return {name: values[:minutes] for name, values in found.items()}


def night_row(scenario: Scenario, dark: DarkTime) -> Night:
    """One night, named after its evening."""
    columns = dark.columns
    shed_c, dew_c = columns["shed"], columns[f"shed{_DEW}"]
    lowest, limit = int(np.argmin(shed_c)), scenario.limits.cold_c
    places = {name.removesuffix(_DEW) for name in columns if name.endswith(_DEW)}
    return {
        "night": scenario.site.date_of(dark.since - _NOON_TO_MIDNIGHT).isoformat(),
        "from": told_time(dark.since),
        "to": told_time(dark.until),
        "low_c": round(float(shed_c[lowest]), 3),
        "low_at": told_time(dark.since + lowest * MINUTE),
        "hours_below": {str(limit): round(int((shed_c < limit).sum()) / _HOUR_MINUTES, 3)},
        "rh_max_pct": round(float(columns["humidity"].max()), 2),
        "dew_margin_min_c": round(float((shed_c - dew_c).min()), 3),
        "surface_margin_min_c": round(float((columns["surface"] - dew_c).min()), 3),
        "condensation_min": int((columns["condensate"] > 0).sum()),
        "boxes": {box: _box_night(columns, box) for box in sorted(places - {"shed"})},
    }


def _box_night(columns: Columns, box: str) -> BoxNight:
    inside_c, dew_c = columns[box], columns[f"{box}{_DEW}"]
    return {
        "low_c": round(float(inside_c.min()), 3),
        "dew_margin_min_c": round(float((inside_c - dew_c).min()), 3),
    }


def hour_rows(air: AirDay, minutes: int) -> Iterator[Hour]:
    """The full hours among the first minutes of a day."""
    k = np.arange(-air.at.minute % _HOUR_MINUTES, minutes, _HOUR_MINUTES)
    out = air.outdoors
    outdoors_rh = 100.0 * saturation_pa(out.dew_point_c[k]) / saturation_pa(out.temperature_c[k])
    columns = {
        "shed_c": air.temperature_c[k].round(3),
        "shed_rh_pct": humidity_pct(air.temperature_c[k], air.vapour_pa[k]).round(2),
        "light_lx": air.light_lx[k].round(1),
        "outdoors_c": out.temperature_c[k].round(3),
        "outdoors_rh_pct": outdoors_rh.round(2),
        "surface_c": air.surface_c[k].round(3),
        "condensate_g": air.condensate_g[k].round(1),
        "heater_w": air.heater_w[k].round(1),
        "mains": air.mains[k].astype(int),
    }
    told = {name: values.tolist() for name, values in columns.items()}
    boxes = {
        box: (
            inside.temperature_c[k].round(3).tolist(),
            humidity_pct(inside.temperature_c[k], inside.vapour_pa[k]).round(2).tolist(),
        )
        for box, inside in sorted(air.boxes.items())
    }
    for row, minute in enumerate(k.tolist()):
        yield Hour(
            t=told_time(air.at + minute * MINUTE),
            boxes={box: BoxAirTold(c=c[row], rh_pct=rh[row]) for box, (c, rh) in boxes.items()},
            **{name: values[row] for name, values in told.items()},  # type: ignore[typeddict-item]
        )
