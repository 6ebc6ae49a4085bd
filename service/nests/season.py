"""A breeding season of the shed: from the first pair to the closing."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """``closed_on`` is None while it goes on. A pair belongs to the season it was put up in."""

    id: int
    name: str
    began_on: date
    closed_on: date | None = None
    closed_by: str | None = None
