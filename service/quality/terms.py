"""What each quantity may do from one reading to the next: the parameters of the tests.

One table. Units are the quantity's own; times are seconds, and all of them are spans of time
and not numbers of samples, for sensors speak as unevenly as they like.

Sources: WMO-No. 8, Guide to Instruments and Methods of Observation, on automatic stations, from
memory: air temperature moves by 3 °C a minute at most and by 0.1 °C at least in 60 minutes,
humidity by 10 % and 1 %. Indoors a door, a lamp and a hose do more, and a shut box does less:
what differs from them, and all that is not named there, is common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from types import MappingProxyType

from devices.reading import Quantity

HOUR_S = 3600.0
DAY_S = 86_400.0

SPIKE_WITHIN_S = 900.0
"""Readings further apart than this tell nothing of a spike between them."""

SPIKE_FAILS_WITHIN_S = 180.0
"""Further apart a lone reading may be true, an open door in frost say: it is suspect at most."""

JUMP_WITHIN_S = 1800.0
"""Readings further apart than this tell nothing of how fast something moved."""

LEAST_SAME = 10
"""So many equal readings in a row may be a flat line, whatever time they take."""

LONGEST_QUIET_S = 6 * HOUR_S
"""How much of a sensor's own quiet times counts as its way: one stuck for days teaches less."""

LONGEST_LAMPS_S = 18 * HOUR_S
"""Nobody lights a shed for longer in a day; common practice, no source."""

DULL_HOURS = 12
USUAL_DAYS = 14
LEAST_USUAL_DAYS = 7
LEAST_LEVEL_HOURS = 72
"""So much of the past must be known before a reading is compared with it."""

UNUSUAL_AT_MOST_S = 3 * HOUR_S
"""What lasts longer is no fault of a moment but how it is now: an all-clear must not wait."""

APART_FOR_S = 600.0
NEIGHBOURS_WITHIN_S = 1800.0
LEAST_NEIGHBOURS = 3
WET_AT_PCT = 99.5
WET_FOR_S = HOUR_S

POWER_ON_C = 85.0
"""The power-on reset value of a common digital thermometer (DS18B20 data sheet, p. 6)."""

POWER_ON_APART_C = 20.0
FAHRENHEIT_WITHIN_S = 900.0
FAHRENHEIT_NEAR_C = 1.5
FAHRENHEIT_LEAST_C = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """Without end (or nought for ``dull``, or None) where a test makes no sense of the quantity.

    ``spike``: out and back by so much is suspect, by so much fails. ``jump``: so much at once
    and so much more with each minute is still believed, up to the third. ``flat_s``: without
    any change for so long it may be stuck; ``coarse_flat_s`` the same for a sensor whose least
    step is ``coarse_step`` or more (a flat line of a coarse one proves little). ``dull``: the
    least that it moves in 12 hours. ``unusual``: how far beyond the last two weeks. ``apart``:
    how far from what the neighbours make likely; in a nest box, which a hen warms to some 35 °C
    and leaves again, ``apart_in_box``: so far below and so far above. Where only boxes can be
    asked, the wider of both holds, either way.
    """

    spike: tuple[float, float] = (inf, inf)
    jump: tuple[float, float, float] = (inf, 0.0, inf)
    flat_s: float = inf
    coarse_flat_s: float = inf
    coarse_step: float = 0.0
    flat_above: float = -inf
    dull: float = 0.0
    unusual: float | None = None
    apart: float | None = None
    apart_in_box: tuple[float, float] = (0.0, 0.0)
    remembers_s: float = 3 * HOUR_S


TERMS: Mapping[Quantity, Terms] = MappingProxyType(
    {
        Quantity.TEMPERATURE: Terms(
            spike=(3.0, 10.0),
            jump=(3.0, 1.0, 15.0),
            flat_s=HOUR_S,
            coarse_flat_s=4 * HOUR_S,
            coarse_step=0.05,
            dull=0.1,
            unusual=10.0,
            apart=8.0,
            apart_in_box=(12.0, 22.0),
            remembers_s=DAY_S,
        ),
        Quantity.RELATIVE_HUMIDITY: Terms(
            spike=(15.0, 40.0),
            jump=(20.0, 5.0, 60.0),
            flat_s=HOUR_S,
            coarse_flat_s=4 * HOUR_S,
            coarse_step=0.4,
            dull=0.5,
            remembers_s=DAY_S,
        ),
        # Lamps are switched and clouds pass: it may jump as it likes. Dark is dark for hours, and
        # where no window is lamps alone give the same light as long as they burn.
        Quantity.ILLUMINANCE: Terms(
            flat_s=LONGEST_LAMPS_S,
            coarse_flat_s=LONGEST_LAMPS_S,
            flat_above=5.0,
            remembers_s=DAY_S,
        ),
        # A bird lands, a hand lifts the box: only what no bird and no hand weighs fails.
        Quantity.MASS: Terms(
            spike=(150.0, 1_000.0), flat_s=HOUR_S, coarse_flat_s=4 * HOUR_S, coarse_step=0.5
        ),
        Quantity.PRESSURE: Terms(
            spike=(200.0, 1_000.0),
            jump=(300.0, 100.0, 1_500.0),
            flat_s=6 * HOUR_S,
            coarse_flat_s=12 * HOUR_S,
            coarse_step=50.0,
        ),
        Quantity.CO2: Terms(
            spike=(1_500.0, 10_000.0),
            flat_s=3 * HOUR_S,
            coarse_flat_s=4 * HOUR_S,
            coarse_step=5.0,
        ),
        Quantity.BATTERY: Terms(remembers_s=DAY_S),
        Quantity.BATTERY_VOLTAGE: Terms(remembers_s=DAY_S),
    }
)
"""Mains, lamp power and signal are judged by their span alone: they are still for days."""

DYING_LOST_PCT, DYING_BELOW_PCT = 15.0, 30.0
"""A battery that lost so much of its charge within a day and has no more than that left. One
that is low and stays there is not dying, and must hold no all-clear up for weeks."""

DYING_LOST_VOLTS = 0.12
"""The share of its voltage that a dying one loses within a day; cold takes less."""
