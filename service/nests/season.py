"""A breeding season of the shed: from the first pair to the closing. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """``closed_on`` is None while it goes on."""

    id: int
    name: str
    began_on: date
    closed_on: date | None = None
    closed_by: str | None = None


def is_resting(seasons: Sequence[Season]) -> bool:
    """Whether the birds rest: the last season was closed and no other has begun.

    A book without any season was never told of one, so nothing sleeps there. While the birds
    rest nothing of breeding is due, and limits of flights hold that hold only then.
    """
    return bool(seasons) and all(season.closed_on is not None for season in seasons)


def season_of(day: date, seasons: Sequence[Season]) -> Season | None:
    """The season that a day belongs to: the last that had begun by then, closed or not.

    What happens while the birds rest belongs to the season before; a day before every season, or
    a book without one, has None.
    """
    begun = [season for season in seasons if season.began_on <= day]
    return max(begun, key=lambda season: (season.began_on, season.id), default=None)
