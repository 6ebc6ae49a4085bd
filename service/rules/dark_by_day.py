"""The lamps are meant to burn, and it is dark: they did not come on, or went out. Pure."""

from datetime import timedelta

from devices.reading import Quantity
from service.rules.limit import Limit, Priority
from service.rules.limit_rationales import MAINS_CAUTION
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

KIND = "dark-by-day"

SETTABLE = Settable(
    kind=KIND,
    name="Dark while the lamps should burn",
    says="Speaks when the lamps did not come on, or went out before their time, and it is dark.",
    needs="a light sensor in the shed, and the times of the lamps",
    numbers=(
        Number(
            key="for_min",
            words="After so many minutes of it",
            unit="min",
            usual=20.0,
            least=10.0,
            most=120.0,
        ),
    ),
)

RATIONALE = Rationale(
    cause="Lamps or their fuse failed, their timer is off or an hour out, or there is no power.",
    consequence="Hens can't feed their young in the dark, birds on the floor don't find the "
    "perch, and shorter days end laying.",
    response="Look at the lamps, their fuse and their timer. A hand lamp helps till then.",
    respond_within=timedelta(hours=2),
    priority=Priority.MEDIUM,
    why_setpoint="Darker than what counts as night in your shed, for longer than a timer drifts "
    "in weeks. High where they went out before their time: hens that are out don't find back to "
    "eggs and chicks, which chill within the hour.",
    source=COMMON_PRACTICE,
    cautions=(MAINS_CAUTION,),
)

WENT_OUT = Priority.HIGH
"""Lamps that went out while birds are about weigh more than those that did not come on."""

_OFF_DELAY = timedelta(minutes=10)


def dark_limit(place: str, *, threshold_lx: float, for_min: float) -> Limit:
    """The limit on the light of a shed while its lamps are meant to burn.

    It is over when it is twice as light as that: what hovers about the threshold is no lamp.
    """
    return Limit(
        id=f"{KIND}:{place}",
        place=place,
        quantity=Quantity.ILLUMINANCE,
        low=threshold_lx,
        deadband=threshold_lx,
        on_delay=timedelta(minutes=for_min),
        off_delay=_OFF_DELAY,
        priority=RATIONALE.priority,
    )
