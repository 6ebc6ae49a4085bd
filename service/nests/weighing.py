"""A mass that the keeper read off a hand scale."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """Of an egg or the chick out of it (``egg_id``), or of a grown bird (``bird_id``)."""

    id: int
    at: datetime
    mass_g: float
    egg_id: int | None = None
    bird_id: int | None = None
    by: str | None = None

    def __post_init__(self) -> None:
        if (self.egg_id is None) == (self.bird_id is None):
            raise ValueError("a weighing is of one egg or of one bird")
