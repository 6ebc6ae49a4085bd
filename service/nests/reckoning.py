"""The facts that all due dates of one nest are reckoned from. Pure."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, tzinfo

from service.nests.due import Due, DueKind
from service.nests.hatching import may_hatch
from service.nests.nest import Chick, ChickFate, Nest
from service.nests.residents import Resident
from service.nests.span import Span, days_in_words, in_days
from service.nests.species import DaySpan, SpeciesSettings

OUT = (ChickFate.FLEDGED, ChickFate.WEANED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoning:
    """``species`` has the hen's own ways in it already, which are not those of guests' eggs."""

    nest: Nest
    residents: tuple[Resident, ...]
    species: SpeciesSettings
    of_guests: SpeciesSettings
    now: datetime
    zone: tzinfo

    def due(self, kind: DueKind, span: Span, why: str, *, of: Resident | None = None) -> Due:
        """A due of one resident, or of the whole box."""
        return Due(
            kind=kind,
            box=self.nest.box.id,
            egg_number=of.egg.number if of else None,
            since=span.since,
            until=span.until,
            why=why,
            egg_id=of.egg.id if of else None,
            laid_in=of.laid_in if of else None,
        )

    def hatch(self, resident: Resident) -> Span:
        """When it hatches if it does."""
        return resident.grew.after(self.hatches_after(resident))

    def hatches_after(self, resident: Resident) -> DaySpan:
        """How long it takes: this hen's own eggs may be known closer."""
        species = self.species if resident.home is None else self.of_guests
        return species.hatch_after_sitting

    def eggs(self) -> Iterator[Resident]:
        """Those that can still hatch."""
        return (one for one in self.residents if may_hatch(one.egg))

    def still_to_hatch(self) -> Iterator[Resident]:
        """Eggs whose time is not over: of one that is late no more is promised."""
        return (one for one in self.eggs() if self.hatch(one).until >= self.now)

    def in_box(self) -> Iterator[tuple[Resident, Chick]]:
        """Chicks that have not left."""
        for one in self.residents:
            if one.chick is not None and one.chick.fate is None:
                yield one, one.chick

    def days(self, span: Span) -> str:
        """``4 to 5 March`` in the shed."""
        return in_days(span, self.zone)


def after(usual: DaySpan) -> str:
    """``after 17 to 20 days``, with whose days they are where they are her own."""
    told = f"after {days_in_words(usual)}"
    return f"{told} ({usual.source})" if usual.source.startswith("her last clutch") else told
