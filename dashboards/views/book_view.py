"""What the book says of a box, fact by fact, and what was corrected. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from service.nests.book_correction import BookCorrection, Subject
from service.nests.book_says import BookSays, upper
from service.nests.correcting import value_in
from service.nests.facts import FACTS, Fact, PartKind, as_text, from_text
from service.nests.guests import chick_of
from service.nests.nest import Clutch, Egg, Guest, Move, Nest
from service.nests.weighing import Weighing

_HIDDEN = ("egg_id", "bird_id")
"""Numbers of the book, which say nothing to a person."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FactLine:
    """A fact in words."""

    name: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SubjectPart:
    """``address`` is where its facts can be corrected."""

    title: str
    address: str
    facts: tuple[FactLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionLine:
    """``undone`` is a sentence once it was."""

    id: int
    what: str
    before: str
    after: str
    told: str
    why: str
    undone: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClutchChoice:
    """A clutch that was laid in this box."""

    id: int
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GuestLine:
    """A guest, and the box in whose book it stands."""

    words: str
    home: str
    clutch_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class BookView:
    """``told`` is what was just done, in a sentence."""

    box: str
    name: str
    clutches: tuple[ClutchChoice, ...]
    shown: int | None
    subjects: tuple[SubjectPart, ...]
    guests: tuple[GuestLine, ...]
    corrections: tuple[CorrectionLine, ...]
    told: str


def book_view(
    nest: Nest,
    clutches: Sequence[Clutch],
    clutch: Clutch | None,
    weighings: Sequence[Weighing],
    corrections: Sequence[BookCorrection],
    *,
    zone: ZoneInfo,
    book: BookSays,
    told: str = "",
) -> BookView:
    """One clutch of the box, with all that the book holds of it."""
    words = Words(zone=zone, book=book)
    return BookView(
        box=nest.box.id,
        name=nest.box.name,
        clutches=tuple(ClutchChoice(id=one.id, words=_clutch_words(one, zone)) for one in clutches),
        shown=clutch.id if clutch else None,
        subjects=_subjects(nest, clutch, weighings, words) if clutch else (),
        guests=tuple(_guest(guest, book) for guest in nest.guests),
        corrections=tuple(
            _correction(one, clutch, words) for one in reversed(corrections) if clutch
        ),
        told=_TOLD.get(told, ""),
    )


_TOLD = {
    "moved": "Moved. The next look into both boxes counts it where it lies now.",
    "corrected": "Corrected. What stood before is kept below.",
    "undone": "Undone. What stood before stands again.",
    "bird": "It is a bird of the book now.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """How a fact reads in this shed."""

    zone: ZoneInfo
    book: BookSays

    def of(self, fact: Fact, text: str | None) -> str:
        """A fact as it stands in the book; "nothing" where nothing stands."""
        if text is None:
            return "nothing"
        try:
            value = from_text(fact, text)
        except ValueError:
            return text
        told = [
            f"{part.label} {self._part(part.kind, part.name, one)} {part.unit}".strip()
            for part, one in zip(fact.parts, value, strict=True)
            if one not in (None, "") and (part.name not in _HIDDEN or len(fact.parts) == 1)
        ]
        return ", ".join(told) or "nothing"

    def _part(self, kind: PartKind, name: str, value: object) -> str:
        if isinstance(value, datetime):
            return self.when(value)
        if name.endswith("_box"):
            return self.book.name(str(value))
        return f"{value:g}" if kind is PartKind.NUMBER else str(value)

    def when(self, at: datetime) -> str:
        """``4.3.2026 7:05`` in the shed's own time."""
        local = at.astimezone(self.zone)
        return f"{local.day}.{local.month}.{local.year} {local:%H:%M}"


def facts_of(subject: Subject) -> tuple[Fact, ...]:
    """Those that a person is asked about on a page, in their order."""
    unasked = ("egg", "bird")
    return tuple(one for one in FACTS if one.subject is subject and one.name not in unasked)


def subject_title(subject: Subject, subject_id: int, clutch: Clutch) -> str:
    """``Egg 3``, ``Chick 3``, ``Move of egg 3`` or the round."""
    if subject is Subject.CLUTCH:
        return f"Round {clutch.round}"
    for egg in clutch.eggs:
        if subject is Subject.EGG and egg.id == subject_id:
            return f"Egg {egg.number}"
        if subject is Subject.MOVE and subject_id in [move.id for move in egg.moves]:
            return f"Move of egg {egg.number}"
    for chick in clutch.chicks:
        if subject is Subject.CHICK and chick.id == subject_id:
            return f"Chick {chick.egg_number}"
    return f"A {subject} that was taken back"


def _subjects(
    nest: Nest, clutch: Clutch, weighings: Sequence[Weighing], words: Words
) -> tuple[SubjectPart, ...]:
    parts = [_part(nest, clutch, Subject.CLUTCH, clutch.id, words)]
    masses: Mapping[int | None, list[Weighing]] = {
        egg.id: [one for one in weighings if one.egg_id == egg.id] for egg in clutch.eggs
    }
    for egg in clutch.eggs:
        parts.append(_part(nest, clutch, Subject.EGG, egg.id, words))
        chick = chick_of(egg, clutch)
        if chick is not None:
            parts.append(_part(nest, clutch, Subject.CHICK, chick.id, words))
        parts += [_move_part(nest, egg, move, words) for move in egg.moves]
        parts += [_weighing_part(nest, egg, one, words) for one in masses[egg.id]]
    return tuple(parts)


def _part(
    nest: Nest, clutch: Clutch, subject: Subject, subject_id: int, words: Words
) -> SubjectPart:
    lines = []
    for fact in facts_of(subject):
        text = as_text(fact, value_in(clutch, fact, subject_id))
        if text is not None:
            lines.append(FactLine(name=fact.name, words=words.of(fact, text)))
    return SubjectPart(
        title=subject_title(subject, subject_id, clutch),
        address=f"/nests/{nest.box.id}/book/{subject}/{subject_id}",
        facts=tuple(lines),
    )


def _move_part(nest: Nest, egg: Egg, move: Move, words: Words) -> SubjectPart:
    away = f"{words.book.name(move.from_box)} to {words.book.name(move.to_box)}"
    why = f", {move.why}" if move.why else ""
    by = f" ({move.by})" if move.by else ""
    return SubjectPart(
        title=f"Move of egg {egg.number}",
        address=f"/nests/{nest.box.id}/book/{Subject.MOVE}/{move.id}",
        facts=(FactLine(name="move", words=f"{words.when(move.at)}: {away}{why}{by}"),),
    )


def _weighing_part(nest: Nest, egg: Egg, weighing: Weighing, words: Words) -> SubjectPart:
    told = f"{weighing.mass_g:g} g on {words.when(weighing.at)}"
    return SubjectPart(
        title=f"Mass of egg or chick {egg.number}",
        address=f"/nests/{nest.box.id}/book/{Subject.WEIGHING}/{weighing.id}",
        facts=(FactLine(name="mass", words=told),),
    )


def _guest(guest: Guest, book: BookSays) -> GuestLine:
    return GuestLine(
        words=upper(book.guest(guest)), home=guest.clutch.box, clutch_id=guest.clutch.id
    )


def _clutch_words(clutch: Clutch, zone: ZoneInfo) -> str:
    if not clutch.eggs:
        return f"Round {clutch.round}"
    first = clutch.eggs[0].laid_to.astimezone(zone)
    return f"Round {clutch.round}, first egg {first.day} {first:%B %Y}"


def _correction(told: BookCorrection, clutch: Clutch, words: Words) -> CorrectionLine:
    fact = next(
        (one for one in FACTS if (one.subject, one.name) == (told.subject, told.fact)), None
    )
    before, after = (
        text or "nothing" if fact is None else words.of(fact, text)
        for text in (told.before, told.after)
    )
    by = f", {told.by}" if told.by else ""
    undone = ""
    if told.undone_at is not None:
        who = f" by {told.undone_by}" if told.undone_by else ""
        undone = f"Undone on {words.when(told.undone_at)}{who}."
    return CorrectionLine(
        id=told.id,
        what=f"{subject_title(told.subject, told.subject_id, clutch)}, {told.fact}",
        before=before,
        after=after,
        told=f"{words.when(told.at)}{by}",
        why=told.why or "",
        undone=undone,
    )
