"""What was done against mites or mould, and when. The clocks of both begin anew with it. Pure.

Nothing here says what to use or how much: that is for its label or a vet.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from uuid import UUID

LONGEST_WORDS = 80
LONGEST_AGO = timedelta(days=3 * 365)
"""Before that a slip of the pen is likelier than a treatment that still tells something."""


class Against(StrEnum):
    """What a treatment was meant for."""

    MITES = "mites"
    MOULD = "mould"


@dataclass(frozen=True, slots=True, kw_only=True)
class Treatment:
    """``place`` was treated at ``at`` (UTC), with all that stands in it. Undone ones stay in the
    book and count as never given.
    """

    id: int
    place: str
    against: Against
    at: datetime
    words: str = ""
    by: str | None = None
    form_id: UUID | None = None
    undone_at: datetime | None = None
    undone_by: str | None = None

    @property
    def stands(self) -> bool:
        """Whether it counts."""
        return self.undone_at is None


def last_treatment(
    treatments: Iterable[Treatment],
    place: str,
    against: Against,
    within: Mapping[str, str | None],
    now: datetime,
) -> Treatment | None:
    """The newest by ``now`` that reached a place: given to it, or to what it stands in.

    ``within`` tells of each place what it stands in, None for nothing.
    """
    reached = set()
    around: str | None = place
    while around is not None and around not in reached:
        reached.add(around)
        around = within.get(around)
    told = [
        one
        for one in treatments
        if one.stands and one.against is against and one.place in reached and one.at <= now
    ]
    return max(told, key=lambda one: one.at, default=None)
