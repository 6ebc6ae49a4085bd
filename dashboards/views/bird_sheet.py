"""The sheet that goes with a bird to its new keeper: one page, whatever the book knows. Pure."""

from dataclasses import dataclass
from datetime import date

from dashboards.views.bird_view import BirdLink, BirdView, NoteLine
from dashboards.views.kinship_view import KinshipView
from service.nests.parentage import day_in_words

NOTES_ON_SHEET = 8
SIGNS_ON_SHEET = 160


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetView:
    """One page to hand over. ``more_notes`` are those that had no room, ``on`` is its day."""

    label: str
    facts: tuple[tuple[str, str], ...]
    forebears: tuple[tuple[BirdLink, tuple[BirdLink, BirdLink]], ...]
    kinship: KinshipView | None
    notes: tuple[NoteLine, ...]
    more_notes: int
    on: str
    shed: str


def sheet_view(view: BirdView, shed: str, today: date) -> SheetView:
    """Of a bird's page what whoever gets the bird should read; long notes are cut with a word."""
    kept = tuple(
        NoteLine(day=note.day, text=_cut(note.text), by="") for note in view.notes[:NOTES_ON_SHEET]
    )
    return SheetView(
        label=view.label,
        facts=tuple(fact for fact in view.facts if fact[0] not in ("Where", "Now")),
        forebears=view.forebears,
        kinship=view.kinship,
        notes=kept,
        more_notes=len(view.notes) - len(kept),
        on=day_in_words(today),
        shed=shed,
    )


def _cut(text: str) -> str:
    flat = " ".join(text.split())
    if len(flat) <= SIGNS_ON_SHEET:
        return flat
    return f"{flat[:SIGNS_ON_SHEET].rsplit(' ', 1)[0]} (and more in the book)"
