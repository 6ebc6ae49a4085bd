"""A sensor's battery runs low, or dies. Pure.

How full it is is told in per cent, whatever the battery. Volts mean another thing for each kind
of battery: of those only a fast fall is told.
"""

from datetime import timedelta

from devices.reading import Quantity
from service.rules.limit import Limit, Priority
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

KIND = "battery"

SETTABLE = Settable(
    kind=KIND,
    name="A sensor's battery is low",
    says="Speaks when a battery is nearly empty, or falls so fast that it dies within the day.",
    needs="a sensor that tells its battery",
    numbers=(
        Number(
            key="below_pct",
            words="Emptier than",
            unit="%",
            usual=15.0,
            least=3.0,
            most=50.0,
        ),
    ),
)

RATIONALE = Rationale(
    cause="The battery runs out; cold makes it look emptier.",
    consequence="The sensor drifts, then falls silent, and its place is watched by nobody.",
    response="Put in a new battery on your next visit.",
    respond_within=timedelta(days=3),
    priority=Priority.LOW,
    why_setpoint="Days before it falls silent, so that it waits for a visit.",
    source=COMMON_PRACTICE,
)

_DEADBAND_PCT = 5.0
FRESH_PCT = 50.0
"""A new battery was put in: its sensor's one does not die any more."""

_DYING_OFF = timedelta(hours=12)
"""One that rests for some hours on its way down has not recovered."""


def battery_limit(device: str, place: str, *, below_pct: float) -> Limit:
    """The limit on how full a battery is [%]; over when it is clearly fuller: a new one."""
    return Limit(
        id=f"{KIND}:{device}",
        place=place,
        quantity=Quantity.BATTERY,
        low=below_pct,
        deadband=_DEADBAND_PCT,
        priority=RATIONALE.priority,
    )


def dying_limit(device: str, place: str) -> Limit:
    """The limit on "its battery is dying", 1 or 0, as the judge of its readings says."""
    return Limit(
        id=f"{KIND}:{device}",
        place=place,
        quantity=Quantity.BATTERY,
        high=0.5,
        off_delay=_DYING_OFF,
        priority=RATIONALE.priority,
    )
