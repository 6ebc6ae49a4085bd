"""What was fitted, as the watch uses it. Plain numbers. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta


@dataclass(frozen=True, slots=True, kw_only=True)
class FallModel:
    """How far something falls from now to its lowest of the night [K].

    ``usual`` is put in for a feature that was not told. The error's size is
    ``max(LEAST_SIZE_K, size_k + size_per_k * fall)``; ``reach`` is by how many such sizes the
    fall is larger than foreseen when the lowest is at its 10, 50 and 90 % quantile.
    """

    names: tuple[str, ...]
    weights: tuple[float, ...]
    usual: tuple[float, ...]
    size_k: float
    size_per_k: float
    reach: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class DampModel:
    """The margin's fall, and the chance of condensation by a logistic function of
    1, the median of the lowest margin / 3 K, and whether there was some last night.
    """

    margin: FallModel
    logit: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class HourModel:
    """Models of one hour of issue; each None where too few nights told it."""

    shed: FallModel | None = None
    outdoors: FallModel | None = None
    damp: DampModel | None = None
    damp_outdoors: DampModel | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaterMap:
    """What a heater with a thermostat makes of the low of an unheated shed.

    It holds ``thermostat_c`` as long as it need not lift by more than ``lift_k``; ``floor_k`` is
    where the low then lies about that setting at 10, 50 and 90 %.
    """

    thermostat_c: float
    lift_k: float
    floor_k: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class FitWatch:
    """Whether nights still come as foreseen: two running sums of how far they did not.

    ``colder_since`` and ``warmer_since`` are the evenings since which each has not been zero.
    ``changed_since`` is told once one of them grew too large: since when, about; and
    ``noticed_on`` after which night that was.
    """

    colder: float = 0.0
    warmer: float = 0.0
    colder_since: date | None = None
    warmer_since: date | None = None
    changed_since: date | None = None
    noticed_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualFall:
    """How far the shed falls from lamps-off to some hour, by how much warmer than outdoors it
    was then: ``constant_k + per_k * gap``, and the spread of the nights about that line [K].
    """

    constant_k: float
    per_k: float
    sd_k: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LowTimes:
    """When the lows of the last nights came: time before the night's end, latest last."""

    early: timedelta
    usual: timedelta
    late: timedelta


@dataclass(frozen=True, slots=True, kw_only=True)
class Widths:
    """By how much bands are stretched, as logarithms: below and above the median."""

    below: float = 0.0
    above: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlookModel:
    """Everything that an outlook needs besides the readings.

    ``nights_used`` are those that count; ``last_evening`` the newest of them. ``usual_falls``
    are told for the first hours after lamps-off; ``heater_short`` is a heater that could not
    hold its setting in the last three nights, ``piled_at_c`` where lows have piled up as above
    a heater that nobody told of [°C]. ``widths`` are
    kept for the next fit, by "hour/kind".
    """

    fitted_at: datetime
    nights_used: int
    last_evening: date | None
    surface_by: str = ""
    hours: Mapping[int, HourModel] = field(default_factory=dict)
    heater: HeaterMap | None = None
    low_times: LowTimes | None = None
    watch: FitWatch = field(default_factory=FitWatch)
    widths: Mapping[str, Widths] = field(default_factory=dict)
    condensed_last: bool | None = None
    usual_falls: Mapping[int, UsualFall] = field(default_factory=dict)
    heater_short: bool = False
    piled_at_c: float | None = None
