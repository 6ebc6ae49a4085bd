"""The heater does not hold what its thermostat is set to. Pure."""

from datetime import timedelta

from devices.reading import Quantity
from service.rules.limit import Limit, Priority
from service.rules.limit_rationales import HEATER_CAUTION, MAINS_CAUTION
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

KIND = "heater"

SETTABLE = Settable(
    kind=KIND,
    name="The heater does not hold",
    says="Speaks when it stays well below what the heater's thermostat is set to.",
    needs="a temperature sensor in the shed, and the heater told at set-up",
    numbers=(
        Number(
            key="below_k",
            words="So far below its thermostat",
            unit="°",
            usual=2.0,
            least=1.0,
            most=6.0,
        ),
        Number(
            key="for_min",
            words="For so many minutes",
            unit="min",
            usual=30.0,
            least=15.0,
            most=240.0,
        ),
    ),
)

RATIONALE = Rationale(
    cause="A heater that stopped, a tripped fuse, an open vent, or frost that it is too small for.",
    consequence="The shed goes on cooling towards the limit at which eggs and chicks are lost.",
    response="See whether the heater has power and is warm, and close vents.",
    respond_within=timedelta(hours=2),
    priority=Priority.MEDIUM,
    why_setpoint="A thermostat lets it swing by a degree or so; two degrees for half an hour it "
    "does not.",
    source=COMMON_PRACTICE,
    cautions=(HEATER_CAUTION, MAINS_CAUTION),
)

_DEADBAND_K = 0.5
_OFF_DELAY = timedelta(minutes=15)


def heater_limit(place: str, *, thermostat_c: float, below_k: float, for_min: float) -> Limit:
    """The limit on the air of a shed that is heated to ``thermostat_c``."""
    return Limit(
        id=f"{KIND}:{place}",
        place=place,
        quantity=Quantity.TEMPERATURE,
        low=thermostat_c - below_k,
        deadband=_DEADBAND_K,
        on_delay=timedelta(minutes=for_min),
        off_delay=_OFF_DELAY,
        priority=RATIONALE.priority,
    )
