"""The rationale of every rule that is no limit, by the kind before the colon of its id.

A rule that joins states its own in its file and has its line here.
"""

from collections.abc import Mapping, Sequence
from datetime import timedelta

from service.rules.limit import Limit, Priority
from service.rules.limit_rationales import rationale_of_limit
from service.rules.nest_rules.all_rules import NEST_RATIONALES
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.reading_rules import READING_RATIONALES

_OVERDUE = Rationale(
    cause="An empty battery, a sensor out of reach of its receiver, or one that has failed.",
    consequence="Nobody watches its place: cold or heat there would be told by nothing.",
    response="Look at the birds there, then at the sensor's battery and place.",
    respond_within=timedelta(hours=12),
    priority=Priority.MEDIUM,
    why_setpoint="Three of its intervals unless you set another time: one lost message says "
    "nothing, three are no chance. High after 20 minutes without a word from the whole shed.",
    source=COMMON_PRACTICE,
)
_OVERDUE_TOGETHER = Rationale(
    cause="What they share has stopped: the receiver, the network or the shed's power.",
    consequence="Nobody watches all these places at once.",
    response="See whether the shed has power, then look at the receiver. Look at the birds.",
    respond_within=timedelta(hours=2),
    priority=Priority.MEDIUM,
    why_setpoint="Three sensors that fall silent at one instant do not do so by chance. High after "
    "20 minutes without a word from the whole shed: nobody knows then how cold it is.",
    source=COMMON_PRACTICE,
)
_BROKER = Rationale(
    cause="The machine that collects the sensors' messages is off, or can't be reached.",
    consequence="No sensor can be heard, whatever happens in the shed.",
    response="See whether that machine and the network have power. Look at the birds meanwhile.",
    respond_within=timedelta(hours=2),
    priority=Priority.MEDIUM,
    why_setpoint="When the first sensor is overdue for it; sooner nothing is lost. High after 20 "
    "minutes without a word from the whole shed.",
    source=COMMON_PRACTICE,
)
_TWINS = Rationale(
    cause="Two devices were given one name, perhaps by a copied set-up.",
    consequence="Readings of two places mix, and one may hide the danger in the other.",
    response="Give one of them another name.",
    respond_within=timedelta(days=1),
    priority=Priority.MEDIUM,
    why_setpoint="Two numberings or two starts that take turns come from two devices.",
    source=COMMON_PRACTICE,
)
_CLOCK = Rationale(
    cause="The sensor's clock lost its time, at a start without a network for example.",
    consequence="A clock that is behind makes its warnings late; one that is ahead is put right "
    "by the time its messages come.",
    response="Start the sensor anew, or set its clock.",
    respond_within=timedelta(days=1),
    priority=Priority.LOW,
    why_setpoint="More than a message can be under way.",
    source=COMMON_PRACTICE,
)

RATIONALES: Mapping[str, Rationale] = {
    "overdue": _OVERDUE,
    "overdue-together": _OVERDUE_TOGETHER,
    "broker": _BROKER,
    "twins": _TWINS,
    "clock": _CLOCK,
    **READING_RATIONALES,
    **NEST_RATIONALES,
}


def kind_of(rule: str) -> str | None:
    """``overdue`` of ``overdue:th-1``; None for the id of a limit."""
    kind, colon, _ = rule.partition(":")
    return kind if colon else None


def rationale_of(rule: str, limits: Sequence[Limit]) -> Rationale | None:
    """Why a rule is there; None for a limit that is set no more, or a kind that is unknown."""
    if (kind := kind_of(rule)) is not None:
        return RATIONALES.get(kind)
    limit = next((one for one in limits if one.id == rule), None)
    return None if limit is None else rationale_of_limit(limit)
