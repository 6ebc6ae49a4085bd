"""Every rule on what is reckoned from readings, and what is told of them by their kinds. Pure."""

from collections.abc import Mapping

from service.rules import (
    battery_low,
    condensation,
    dark_by_day,
    day_shortened,
    doubtful_sensor,
    fast_fall,
    heater_short,
    light_by_night,
    power_cut,
)
from service.rules.rationale import Rationale
from service.rules.settable import Settable

READING_SETTABLES: tuple[Settable, ...] = (
    power_cut.SETTABLE,
    heater_short.SETTABLE,
    fast_fall.SETTABLE,
    condensation.SETTABLE,
    dark_by_day.SETTABLE,
    light_by_night.SETTABLE,
    day_shortened.SETTABLE,
    doubtful_sensor.STUCK_SETTABLE,
    doubtful_sensor.FAILING_SETTABLE,
    battery_low.SETTABLE,
)
READING_RATIONALES: Mapping[str, Rationale] = {
    power_cut.KIND: power_cut.RATIONALE,
    heater_short.KIND: heater_short.RATIONALE,
    fast_fall.KIND: fast_fall.RATIONALE,
    condensation.KIND: condensation.RATIONALE,
    dark_by_day.KIND: dark_by_day.RATIONALE,
    light_by_night.KIND: light_by_night.RATIONALE,
    day_shortened.KIND: day_shortened.RATIONALE,
    doubtful_sensor.STUCK: doubtful_sensor.STUCK_RATIONALE,
    doubtful_sensor.FAILING: doubtful_sensor.FAILING_RATIONALE,
    battery_low.KIND: battery_low.RATIONALE,
}
