"""What runs low in the shed. Pure."""

from dataclasses import dataclass
from datetime import datetime

LONGEST_WORDS = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class RunningLow:
    """``what`` in the keeper's words; struck once it was brought, and kept then."""

    id: int
    what: str
    added_at: datetime
    added_by: str | None = None
    struck_at: datetime | None = None
    struck_by: str | None = None
