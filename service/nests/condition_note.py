"""A note on how a bird was on a day."""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionNote:
    """``on`` is the shed's own day it is about, ``noted_at`` the instant it was written down.

    Notes are never changed: a wrong one is answered by another.
    """

    id: int
    bird_id: int
    on: date
    text: str
    by: str | None
    noted_at: datetime
