"""A sensor that is stuck, or tells what can't be: by what its readings were doubted for. Pure."""

from datetime import timedelta

from devices.reading import Quantity
from service.quality.doubt import Doubt
from service.rules.limit import Limit, Priority
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

STUCK = "stuck"
FAILING = "failing"

STUCK_SETTABLE = Settable(
    kind=STUCK,
    name="A sensor is stuck",
    says="Speaks when a sensor goes on telling the very same value where air never does.",
    needs="nothing but the sensor",
    numbers=(
        Number(
            key="for_min",
            words="So long after the first doubt of it",
            unit="min",
            usual=60.0,
            least=0.0,
            most=1440.0,
        ),
    ),
)
FAILING_SETTABLE = Settable(
    kind=FAILING,
    name="A sensor fails",
    says="Speaks when several of a sensor's last twenty readings can't be.",
    needs="nothing but the sensor",
    numbers=(
        Number(
            key="bad",
            words="So many of the last twenty",
            unit="",
            usual=5.0,
            least=2.0,
            most=20.0,
        ),
    ),
)

STUCK_RATIONALE = Rationale(
    cause="A sensor that hangs, or a receiver that sends its last value over and over.",
    consequence="It looks well, and would go on looking well through frost and heat.",
    response="Look at the birds there. Take the sensor's battery out and put it back.",
    respond_within=timedelta(hours=12),
    priority=Priority.MEDIUM,
    why_setpoint="Air is never the same to the last digit for an hour, for four where a sensor "
    "tells coarse steps; an hour more leaves out a still night.",
    source="the flat line test of the IOOS QARTOD manuals; its times: common practice, no source",
)
FAILING_RATIONALE = Rationale(
    cause="A loose or wet plug, a sensor at the end of its life, or one set to the wrong unit.",
    consequence="Its place is watched by what can't be believed.",
    response="Look at the birds there, then at its plug and wires. Change it if it goes on.",
    respond_within=timedelta(hours=12),
    priority=Priority.MEDIUM,
    why_setpoint="One reading in twenty that can't be is chance; five are a fault.",
    source=COMMON_PRACTICE,
)

LOOKED_AT = 20
_STUCK_OFF = timedelta(minutes=10)
_FULL = (1 << LOOKED_AT) - 1

CANNOT_BE = frozenset((Doubt.IMPOSSIBLE, Doubt.POWER_ON, Doubt.SPIKE, Doubt.FAHRENHEIT))
"""What no air does; other doubts may be the air."""


NEVER_STILL = frozenset(
    (Quantity.TEMPERATURE, Quantity.RELATIVE_HUMIDITY, Quantity.PRESSURE, Quantity.CO2)
)
"""What air does not leave alone. Lamps burn evenly for hours, and a scale may carry nothing."""


def stuck_limit(device: str, place: str, *, for_min: float) -> Limit:
    """The limit on "was doubted as stuck", 1 or 0."""
    return Limit(
        id=f"{STUCK}:{device}",
        place=place,
        quantity=Quantity.TEMPERATURE,
        high=0.5,
        on_delay=timedelta(minutes=for_min),
        off_delay=_STUCK_OFF,
        priority=STUCK_RATIONALE.priority,
    )


def failing_limit(device: str, place: str, *, bad: float) -> Limit:
    """The limit on how many of the last readings can't be; over when none of them is such."""
    setpoint = bad - 0.5
    return Limit(
        id=f"{FAILING}:{device}",
        place=place,
        quantity=Quantity.TEMPERATURE,
        high=setpoint,
        deadband=setpoint,
        priority=FAILING_RATIONALE.priority,
    )


class LastTwenty:
    """Which of the last readings of one series could not be."""

    def __init__(self) -> None:
        self._bits = 0
        self._heard = 0

    def follow(self, *, bad: bool) -> int | None:
        """How many of the last twenty; None where so few were heard that none says nothing."""
        self._bits = (self._bits << 1 | bad) & _FULL
        self._heard = min(LOOKED_AT, self._heard + 1)
        count = self._bits.bit_count()
        return count if count or self._heard == LOOKED_AT else None
