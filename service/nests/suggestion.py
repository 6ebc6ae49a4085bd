"""What a part of the service thinks it has seen, for the keeper to say yes or no to."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

LATER = timedelta(hours=4)
"""How long a suggestion keeps quiet when it is put off: until another visit, not another day."""


class Answer(StrEnum):
    """What the keeper said."""

    YES = "yes"
    NO = "no"
    LATER = "later"


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """``words`` are a whole sentence or question, ``kind`` a word of whoever made it.

    ``answer`` is None until somebody answers; "later" keeps it quiet until ``later_until`` and
    then it is asked again.
    """

    id: int
    place: str
    made_at: datetime
    kind: str
    words: str
    answer: Answer | None = None
    answered_at: datetime | None = None
    answered_by: str | None = None
    later_until: datetime | None = None

    def is_open(self, now: datetime) -> bool:
        """Whether it is to be asked now."""
        if self.answer is Answer.LATER:
            return self.later_until is None or self.later_until <= now
        return self.answer is None
