"""What happened to alarms, line by line, as it is kept."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Happened(StrEnum):
    """One word for each line of the journal."""

    RAISED = "raised"
    TOLD_LATE = "told late"
    CLEARED = "cleared"
    ACKNOWLEDGED = "acknowledged"
    RE_ALARMED = "re-alarmed"
    RESET = "reset"
    SHELVED = "shelved"
    UNSHELVED = "unshelved"
    OUT_OF_SERVICE = "taken out of service"
    INTO_SERVICE = "put back into service"
    SUPPRESSED = "suppressed by design"
    UNSUPPRESSED = "suppressed no more"


@dataclass(frozen=True, slots=True, kw_only=True)
class JournalLine:
    """``at`` is event time. ``alarm_id`` is None where a rule without an open alarm was shelved
    or taken out of service. ``by`` is a person, None for the system; ``note`` says why or
    until when, in words, empty where there is nothing to say.
    """

    at: datetime
    rule: str
    happened: Happened
    alarm_id: str | None = None
    by: str | None = None
    note: str = ""
