"""The sheet that goes with a bird to its new keeper: one page, whatever the book knows. Pure."""

from dataclasses import dataclass
from datetime import date

from dashboards.views.bird_view import BirdLink, BirdView, NoteLine
from dashboards.views.kinship_view import KinshipView
from service.nests.parentage import day_in_words

NOTES_ON_SHEET = 8
SIGNS_ON_SHEET = 160

# Of the page's lines these are left for notes; long names of forebears take from them.
_LINES_FOR_NOTES = 20
_SIGNS_A_LINE = 55  # of the widest letters
_SIGNS_A_NAME = 24


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
    kept = _notes_with_room(view)
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


def _notes_with_room(view: BirdView) -> tuple[NoteLine, ...]:
    """The newest notes for which the page has lines left."""
    named = [one.label for parent, above in view.forebears for one in (parent, *above)]
    left = _LINES_FOR_NOTES - sum(len(name) // _SIGNS_A_NAME for name in named)
    kept = []
    for note in view.notes[:NOTES_ON_SHEET]:
        line = NoteLine(day=note.day, text=_cut(note.text), by="")
        left -= 1 + (len(line.day) + len(line.text)) // _SIGNS_A_LINE
        if left < 0:
            break
        kept.append(line)
    return tuple(kept)


def _cut(text: str) -> str:
    flat = " ".join(text.split())
    if len(flat) <= SIGNS_ON_SHEET:
        return flat
    return f"{flat[:SIGNS_ON_SHEET].rsplit(' ', 1)[0]} (and more in the book)"
