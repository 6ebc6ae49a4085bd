"""Water on the coldest surface: the air beside it is damper than it can hold there. Pure.

Followed as a limit on the margin between the surface and the dew point of the air [K]: breached
below 0, by so many minutes of it, and over once the surface is half a kelvin above the dew point.
"""

from datetime import timedelta

from devices.reading import Quantity
from service.climate.moist_air import ACCEPTED_C, HIGHEST_HUMIDITY_PCT, dew_point_c
from service.rules.limit import Limit, Priority
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

KIND = "condensation"

SETTABLE = Settable(
    kind=KIND,
    name="Water on the coldest surface",
    says="Speaks when water has gathered for some time where the shed is coldest.",
    needs="temperature and humidity in the shed, and a sensor on the surface or how cold it gets",
    numbers=(
        Number(
            key="for_min",
            words="After so many minutes of it",
            unit="min",
            usual=30.0,
            least=10.0,
            most=360.0,
        ),
    ),
)

RATIONALE = Rationale(
    cause="Damp air on a cold pane or wall: too little air let through, wet floors, fog.",
    consequence="Walls and bedding under it stay wet, mould grows, and damp chicks chill.",
    response="Open a vent and wipe the surface dry. See whether bedding is wet.",
    respond_within=timedelta(hours=12),
    priority=Priority.LOW,
    why_setpoint="At the dew point water settles; half an hour of it leaves out a breath of damp "
    "air. Over when the surface is half a degree warmer than that, beyond what sensors are off.",
    source=COMMON_PRACTICE,
)

_DEADBAND_K = 0.5
_OFF_DELAY = timedelta(hours=1)


def condensation_limit(place: str, *, for_min: float) -> Limit:
    """The limit on the margin [K] at a shed."""
    return Limit(
        id=f"{KIND}:{place}",
        place=place,
        quantity=Quantity.TEMPERATURE,
        low=0.0,
        deadband=_DEADBAND_K,
        on_delay=timedelta(minutes=for_min),
        off_delay=_OFF_DELAY,
        priority=RATIONALE.priority,
    )


def surface_margin_k(air_c: float, humidity_pct: float, surface_c: float) -> float | None:
    """How much warmer the surface is than the dew point of the air; None for air that can't be."""
    if not 0.0 < humidity_pct <= HIGHEST_HUMIDITY_PCT:
        return None
    if not ACCEPTED_C[0] <= air_c <= ACCEPTED_C[1]:
        return None
    try:
        return surface_c - dew_point_c(air_c, humidity_pct)
    except ValueError:  # so dry that no dew point is within what the formula takes
        return None
