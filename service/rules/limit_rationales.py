"""Why the limits are there, by quantity and side. Setpoints of the keeper's own are the
keeper's reason; what is said of them here is why such a limit speaks at all.
"""

from collections.abc import Mapping
from datetime import timedelta

from devices.reading import Quantity
from service.rules import battery_low
from service.rules.limit import Limit, Priority
from service.rules.rationale import COMMON_PRACTICE, Rationale

MAINS_CAUTION = (
    "Switch off at the fuse before you touch wires or a wet heater; what does not hold after "
    "that is an electrician's work."
)
HEATER_CAUTION = (
    "No coated (non-stick) or fuel-burning heater where birds breathe: their fumes kill birds. "
    "A heater needs a guard and a thermostat of its own."
)
_HOUR = timedelta(hours=1)

_COLD = Rationale(
    cause="Frost outside, a heater that stopped, or a door or vent left open.",
    consequence="Eggs and small chicks chill, hens may fail to pass an egg, and grown birds burn "
    "far more food: at 0 °C about three times what they need at rest in the warm.",
    response="Look at the heater and close vents. See to boxes with small chicks first.",
    respond_within=_HOUR,
    priority=Priority.HIGH,
    why_setpoint="Above freezing with room to act, and minutes of it, so that a door opened on "
    "a visit says nothing. Seen or shelved it is told again when it goes 5° further.",
    source=f"{COMMON_PRACTICE}; what birds need at 0 °C: Gavrilov 2015, Avian Research 6:19, "
    "table 1",
    cautions=(HEATER_CAUTION, MAINS_CAUTION),
)
_HOT = Rationale(
    cause="Sun on the roof, closed vents, or a heater that does not switch off.",
    consequence="Birds pant and drink, chicks in closed boxes overheat, and soft food sours.",
    response="Open vents, shade the roof, give cool water. See to full boxes first.",
    respond_within=_HOUR,
    priority=Priority.HIGH,
    why_setpoint="Boxes full of chicks are some degrees warmer than the air around them; "
    "budgerigars begin to labour at about 38 to 39 °C. Seen or shelved it is told again when it "
    "goes 5° further.",
    source=f"{COMMON_PRACTICE}; upper critical temperature: Gavrilov 2015, Avian Research 6:19, "
    "table 1",
)
_DAMP = Rationale(
    cause="Too little air let through, wet bedding or floors, or warm damp weather.",
    consequence="Bedding moulds, mites thrive, and eggs lose too little water.",
    response="Open a vent, take out what is wet, and look for mould in the corners.",
    respond_within=timedelta(hours=12),
    priority=Priority.MEDIUM,
    why_setpoint="Keepers speak of 50 to 60 %; dampness harms over days, hence hours of it.",
    source=COMMON_PRACTICE,
)
_DRY = Rationale(
    cause="A heater that runs long, or frost outside.",
    consequence="Eggs lose water faster, and feathers and noses dry out.",
    response="Heat less, or stand a bowl of water out of the birds' reach.",
    respond_within=timedelta(hours=24),
    priority=Priority.LOW,
    why_setpoint="A heater dries the air every winter: worth knowing after some hours, no more.",
    source=COMMON_PRACTICE,
    cautions=("Keep water away from the heater and its wires.",),
)
_DARK = Rationale(
    cause="Lamps that do not burn, or a timer that is off.",
    consequence="Birds can't feed their young in the dark, and a short day ends laying.",
    response="Look at the lamps, their fuse and their timer.",
    respond_within=_HOUR,
    priority=Priority.MEDIUM,
    why_setpoint="Set by the keeper for this sensor: what counts as dark hangs on where it is.",
    source=COMMON_PRACTICE,
    cautions=(MAINS_CAUTION,),
)
_BRIGHT = Rationale(
    cause="Lamps left on, or sun that falls on the sensor.",
    consequence="Light at the wrong hour disturbs hens at their eggs and shifts their day.",
    response="Look at the lamps and their timer. Dim them; do not leave hens in sudden dark.",
    respond_within=_HOUR,
    priority=Priority.MEDIUM,
    why_setpoint="Set by the keeper for this sensor.",
    source=COMMON_PRACTICE,
)
_CO2 = Rationale(
    cause="Too little air let through for the birds there are, or a burner.",
    consequence="Air that is stale for carbon dioxide is stale for ammonia and damp too.",
    response="Open a vent. If anything burns fuel in there, put it out and get out yourself.",
    respond_within=_HOUR,
    priority=Priority.MEDIUM,
    why_setpoint="3000 ppm at head height is the bound set for meat hens, the nearest there is.",
    source="Council Directive 2007/43/EC, annex II; not written for parrots",
    cautions=("Headache or dizziness in the shed: leave it first, and call for help.",),
)
_MAINS = Rationale(
    cause="A power cut, a fuse, or a plug.",
    consequence="Lamps and heater stand still: dark by day, cold by night.",
    response="See whether the house has power, then look at the shed's fuse. Keep warmth in.",
    respond_within=_HOUR,
    priority=Priority.HIGH,
    why_setpoint="Off is off; the delay leaves out what comes back by itself.",
    source=COMMON_PRACTICE,
    cautions=(
        MAINS_CAUTION,
        "A residual-current switch that trips again at once stays off until an electrician came.",
    ),
)
_SIGNAL = Rationale(
    cause="The sensor is far from its receiver, or something of metal stands between.",
    consequence="Readings get lost, and in the end it falls silent.",
    response="Move it or its receiver nearer to each other.",
    respond_within=timedelta(days=7),
    priority=Priority.LOW,
    why_setpoint="Set by the keeper for this sensor.",
    source=COMMON_PRACTICE,
)
_OTHER = Rationale(
    cause="What is measured there has left the limit that was set for it.",
    consequence="The keeper who set the limit knows what it guards.",
    response="Go and look.",
    respond_within=_HOUR,
    priority=Priority.MEDIUM,
    why_setpoint="Set by the keeper.",
    source=COMMON_PRACTICE,
)

_BY_SIDE: Mapping[tuple[Quantity, bool], Rationale] = {
    (Quantity.TEMPERATURE, False): _COLD,
    (Quantity.TEMPERATURE, True): _HOT,
    (Quantity.RELATIVE_HUMIDITY, True): _DAMP,
    (Quantity.RELATIVE_HUMIDITY, False): _DRY,
    (Quantity.ILLUMINANCE, False): _DARK,
    (Quantity.ILLUMINANCE, True): _BRIGHT,
    (Quantity.CO2, True): _CO2,
    (Quantity.MAINS, False): _MAINS,
    (Quantity.BATTERY, False): battery_low.RATIONALE,
    (Quantity.BATTERY_VOLTAGE, False): battery_low.RATIONALE,
    (Quantity.SIGNAL, False): _SIGNAL,
}


def rationale_of_limit(limit: Limit) -> Rationale:
    """Why such a limit is there. Every limit has one; a rare one says that the keeper knows."""
    return _BY_SIDE.get((limit.quantity, limit.high is not None), _OTHER)
