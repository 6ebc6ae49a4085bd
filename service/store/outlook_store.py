"""What the rest of the service may ask of the store of the outlook.

Three things are kept: what each night was like (what a model is fitted to), the models, and what
was said from them. Their bodies are JSON whose meaning is the outlook's own business
(``service/climate/outlook``): the store never looks into them.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol

MOST_NIGHTS = 400
"""Nights that are kept, with all that was said of them."""

MOST_MODELS = 30
"""Models that are kept: enough to see since when one is different."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptNight:
    """One night by the local date of its evening. A night that tells nothing is kept as well,
    so that nobody looks at it again.
    """

    evening: date
    body: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptModel:
    """What was fitted, and when by the shed's clock."""

    fitted_at: datetime
    body: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptOutlook:
    """What was said at ``issued_at`` of the night with that evening."""

    night: date
    issued_at: datetime
    body: str


class OutlookStore(Protocol):
    """Every writing method is one transaction; StoreUnavailableError where the store stays busy."""

    def put_nights(self, nights: Sequence[KeptNight]) -> None:
        """Keep nights; one that is there already is replaced. The oldest beyond 400 go."""
        ...

    def nights(self, since: date | None = None) -> Sequence[KeptNight]:
        """Those from that evening on, or all of them, oldest first."""
        ...

    def put_model(self, model: KeptModel) -> None:
        """Keep a model; the oldest beyond 30 go."""
        ...

    def model(self, at: datetime) -> KeptModel | None:
        """The newest that was fitted at ``at`` or before; None where there is none."""
        ...

    def put_outlook(self, outlook: KeptOutlook) -> None:
        """Keep what was said; what was said at the same instant before is replaced."""
        ...

    def outlook(self, at: datetime) -> KeptOutlook | None:
        """The newest that was issued at ``at`` or before; None where there is none."""
        ...

    def tell_look(self, evening: date, *, wet: bool, by: str | None, at: datetime) -> None:
        """What the keeper found on the coldest surface on the morning after that evening's
        night; told again, the last word holds.
        """
        ...

    def looks(self) -> Mapping[date, bool]:
        """Whether it was wet, by evening."""
        ...

    def outlooks(self, night: date) -> Sequence[KeptOutlook]:
        """All that were issued for one night, oldest first."""
        ...
