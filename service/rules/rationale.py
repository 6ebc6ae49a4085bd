"""Why a rule is there at all: its rationalization. Pure.

Source of the parts: the rationalization of an alarm as in IEC 62682 (ANSI/ISA-18.2): cause,
consequence, what the operator does, time to respond, priority, why this setpoint. The list of
parts is from memory. An alarm that asks nothing of anybody is none, so every part must be told.
"""

from dataclasses import dataclass
from datetime import timedelta

from service.rules.limit import Priority

COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rationale:
    """What a keeper should know of a rule, in sentences.

    ``cause`` is what may have led to it, ``consequence`` what becomes of birds or records when
    nobody acts, ``response`` what to do first, ``respond_within`` how long that may wait at
    most. ``why_setpoint`` tells why it speaks at this value and after this time, ``source``
    where that is from (a published source, or ``COMMON_PRACTICE``). ``priority`` is the usual
    one: what is lost, weighed by how soon. ``cautions`` are for work that can hurt.
    """

    cause: str
    consequence: str
    response: str
    respond_within: timedelta
    priority: Priority
    why_setpoint: str
    source: str
    cautions: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        parts = ("cause", "consequence", "response", "why_setpoint", "source")
        missing = [part for part in parts if not getattr(self, part).strip()]
        if self.respond_within <= timedelta(0):
            missing.append("respond_within")
        if missing:
            raise ValueError(f"a rationale lacks {', '.join(missing)}")
