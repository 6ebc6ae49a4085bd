"""It is light when neither lamps nor daylight are to be expected. Pure."""

from datetime import timedelta

from devices.reading import Quantity
from service.rules.limit import Limit, Priority
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

KIND = "light-by-night"

SETTABLE = Settable(
    kind=KIND,
    name="Light at night",
    says="Speaks when the lamps did not go off, or burn in the night.",
    needs="a light sensor in the shed, and the times of the lamps",
    numbers=(
        Number(
            key="for_min",
            words="After so many minutes of it",
            unit="min",
            usual=45.0,
            least=15.0,
            most=240.0,
        ),
    ),
)

RATIONALE = Rationale(
    cause="A timer that is off or an hour out, lamps left on by hand, or a visit that lasts.",
    consequence="Hens leave their eggs, birds get no rest, and lights-on at the wrong hour shifts "
    "the day that their breeding goes by.",
    response="Look at the timer. Dim the lamps down: birds in sudden dark fly up and hens don't "
    "find the box.",
    respond_within=timedelta(hours=4),
    priority=Priority.MEDIUM,
    why_setpoint="A look into the boxes at night takes minutes; three quarters of an hour is none.",
    source=f"{COMMON_PRACTICE}; light acts by the hour at which it comes: J. Zool. 1975, "
    "doi:10.1111/j.1469-7998.1975.tb01390.x (abstract)",
)

_OFF_DELAY = timedelta(minutes=5)


def light_limit(place: str, *, threshold_lx: float, for_min: float) -> Limit:
    """The limit on the light of a shed while it is meant to be dark."""
    return Limit(
        id=f"{KIND}:{place}",
        place=place,
        quantity=Quantity.ILLUMINANCE,
        high=threshold_lx,
        on_delay=timedelta(minutes=for_min),
        off_delay=_OFF_DELAY,
        priority=RATIONALE.priority,
    )
