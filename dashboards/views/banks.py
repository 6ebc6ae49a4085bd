"""The channel: between which temperatures this very air would be within all limits.

At each moment the air has a temperature T and a dew point D, from the same sensor. The
lower bank is the higher of the cold limit and the temperature at which this air would be at
the damp limit; the upper bank the lower of the hot limit and the temperature at which it
would be at the dry limit. So T lies between the banks exactly when both temperature and
humidity are within their limits. The vapour formula that gave D is the one that is inverted.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from devices.reading import Quantity
from service.climate.moist_air import (
    ACCEPTED_C,
    HIGHEST_HUMIDITY_PCT,
    dew_point_c,
    temperature_at_humidity_c,
)
from service.rules.limit import Limit, When

_DRIEST_PCT = 0.5
"""Air is never drier than this here: a humidity of 0 has no dew point."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AirLimits:
    """Setpoints in force at one place: the tightest of each kind; None where there is none."""

    cold_c: float | None = None
    hot_c: float | None = None
    damp_pct: float | None = None
    dry_pct: float | None = None

    @property
    def any(self) -> bool:
        """Whether there is a limit at all."""
        return any(x is not None for x in (self.cold_c, self.hot_c, self.damp_pct, self.dry_pct))


@dataclass(frozen=True, slots=True, kw_only=True)
class AirMoment:
    """The air at one instant [°C]. A bank of None: there is none on that side.

    ``low_is_damp``, ``high_is_dry``: the bank is made by the humidity limit.
    """

    at: datetime
    temperature_c: float
    low_c: float | None
    high_c: float | None
    low_is_damp: bool = False
    high_is_dry: bool = False

    @property
    def closed(self) -> bool:
        """No temperature would be within all limits: this air is too dry or too damp."""
        return self.low_c is not None and self.high_c is not None and self.low_c > self.high_c

    @property
    def spare_c(self) -> float | None:
        """Smallest distance to a bank, negative in one; None where there is no bank."""
        distances = []
        if self.low_c is not None:
            distances.append(self.temperature_c - self.low_c)
        if self.high_c is not None:
            distances.append(self.high_c - self.temperature_c)
        return min(distances, default=None)

    @property
    def side(self) -> str | None:
        """Which bank is nearest, in words: cold, damp, hot or dry."""
        if self.low_c is None and self.high_c is None:
            return None
        below = self.low_c is not None and (
            self.high_c is None
            or self.temperature_c - self.low_c <= self.high_c - self.temperature_c
        )
        if below:
            return "damp" if self.low_is_damp else "cold"
        return "dry" if self.high_is_dry else "hot"


def limits_at(limits: Iterable[Limit], place: str, *, dark: bool | None) -> AirLimits:
    """The limits of exactly this place that are in force in this light.

    ``dark`` is None where nobody can tell: a limit for the night or the day then holds.
    """
    here = [one for one in limits if one.place == place and _in_force(one.when, dark)]

    def lows(quantity: Quantity) -> float | None:
        return max(
            (one.low for one in here if one.quantity is quantity and one.low is not None),
            default=None,
        )

    def highs(quantity: Quantity) -> float | None:
        return min(
            (one.high for one in here if one.quantity is quantity and one.high is not None),
            default=None,
        )

    return AirLimits(
        cold_c=lows(Quantity.TEMPERATURE),
        hot_c=highs(Quantity.TEMPERATURE),
        damp_pct=highs(Quantity.RELATIVE_HUMIDITY),
        dry_pct=lows(Quantity.RELATIVE_HUMIDITY),
    )


def _in_force(when: When, dark: bool | None) -> bool:
    if when is When.ALWAYS or dark is None:
        return True
    return dark is (when is When.NIGHT)


def air_moment(
    at: datetime, temperature_c: float, humidity_pct: float | None, limits: AirLimits
) -> AirMoment:
    """Where the banks lie for this air.

    Without a humidity [%], and for air that no vapour formula covers, the damp and dry
    limits make no bank: nothing is guessed.
    """
    wet_c = dry_c = None
    if humidity_pct is not None and ACCEPTED_C[0] <= temperature_c <= ACCEPTED_C[1]:
        within = min(HIGHEST_HUMIDITY_PCT, max(_DRIEST_PCT, humidity_pct))
        dew_c = dew_point_c(temperature_c, within)
        wet_c = _at_humidity(dew_c, limits.damp_pct)
        dry_c = _at_humidity(dew_c, limits.dry_pct)
    low_c = max((c for c in (limits.cold_c, wet_c) if c is not None), default=None)
    high_c = min((c for c in (limits.hot_c, dry_c) if c is not None), default=None)
    return AirMoment(
        at=at,
        temperature_c=temperature_c,
        low_c=low_c,
        high_c=high_c,
        low_is_damp=wet_c is not None and low_c == wet_c,
        high_is_dry=dry_c is not None and high_c == dry_c,
    )


def _at_humidity(dew_c: float, humidity_pct: float | None) -> float | None:
    if humidity_pct is None or humidity_pct <= 0:
        return None
    return temperature_at_humidity_c(dew_c, min(HIGHEST_HUMIDITY_PCT, humidity_pct))
