"""What the book says of a box, fact by fact, and what was corrected. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from urllib.parse import quote
from zoneinfo import ZoneInfo

from service.nests.book_correction import BookCorrection, Subject
from service.nests.book_says import BookSays, upper
from service.nests.correcting import value_in
from service.nests.facts import FACTS, Fact, Part, PartKind, as_text, fact_of, from_text
from service.nests.guests import chick_of
from service.nests.nest import Clutch, Egg, Guest, Nest
from service.nests.weighing import Weighing


@dataclass(frozen=True, slots=True, kw_only=True)
class BookLine:
    """Sentences about one subject; ``address`` is where they can be put right."""

    words: tuple[str, ...]
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BookSection:
    """The round, or an egg with all that became of it."""

    title: str
    lines: tuple[BookLine, ...]


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
    sections: tuple[BookSection, ...]
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
        sections=_sections(nest, clutch, weighings, words) if clutch else (),
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


_PHRASES: Mapping[tuple[Subject, str], str] = {
    (Subject.CLUTCH, "sitting from"): "sitting from {sitting_from}",
    (Subject.CLUTCH, "hide in"): "a place to hide from {hide_in_at}",
    (Subject.CLUTCH, "round"): "round {round}",
    (Subject.EGG, "laid"): "laid between {laid_from} and {laid_to}",
    (Subject.EGG, "candling"): "{candling} when held to a light on {candled_at}",
    (Subject.EGG, "fate"): "{fate} between {fate_from} and {fate_to}",
    (Subject.EGG, "size"): "{length_mm} by {breadth_mm} mm",
    (Subject.EGG, "egg"): "egg {number}",
    (Subject.CHICK, "ring"): "ring {ring}, put on {ringed_at}",
    (Subject.CHICK, "fate"): "{fate} on {fate_at}",
    (Subject.CHICK, "bird"): "a bird of the book",
    (Subject.MOVE, "move"): "moved from {from_box} to {to_box} on {at}{why}{by}",
    (Subject.WEIGHING, "mass"): "{mass_g} g on {at}{by}",
}
"""How a fact reads; what nobody knows of it is said so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """How facts read in this shed."""

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
        told = {
            part.name: self._part(part, one) for part, one in zip(fact.parts, value, strict=True)
        }
        return _PHRASES[fact.subject, fact.name].format(**told)

    def _part(self, part: Part, value: object) -> str:
        if part.name in ("why", "by"):
            return f", {value}" if value else ""
        if value is None:
            return "an unknown time" if part.kind is PartKind.TIME else "unknown"
        if isinstance(value, datetime):
            return self.when(value)
        if part.name.endswith("_box"):
            return self.book.name(str(value))
        return f"{value:g}" if part.kind is PartKind.NUMBER else str(value)

    def when(self, at: datetime) -> str:
        """``4 March 2026, 07:05`` in the shed's own time."""
        local = at.astimezone(self.zone)
        return f"{local.day} {local:%B %Y, %H:%M}"


def facts_of(subject: Subject) -> tuple[Fact, ...]:
    """Those that a person is asked about on a page, in their order."""
    unasked = ("egg", "bird")
    return tuple(one for one in FACTS if one.subject is subject and one.name not in unasked)


def address_of(box: str, subject: Subject, subject_id: int) -> str:
    """The page on which it is put right."""
    return f"/nests/{quote(box, safe='')}/book/{subject}/{subject_id}"


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


def _sections(
    nest: Nest, clutch: Clutch, weighings: Sequence[Weighing], words: Words
) -> tuple[BookSection, ...]:
    title = subject_title(Subject.CLUTCH, clutch.id, clutch)
    first = BookSection(title=title, lines=(_line(nest, clutch, Subject.CLUTCH, clutch.id, words),))
    return (first, *(_egg(nest, clutch, egg, weighings, words) for egg in clutch.eggs))


def _egg(
    nest: Nest, clutch: Clutch, egg: Egg, weighings: Sequence[Weighing], words: Words
) -> BookSection:
    lines = [_line(nest, clutch, Subject.EGG, egg.id, words)]
    lines += [_line(nest, clutch, Subject.MOVE, move.id, words) for move in egg.moves]
    chick = chick_of(egg, clutch)
    if chick is not None:
        lines.append(_line(nest, clutch, Subject.CHICK, chick.id, words))
    fact = fact_of(Subject.WEIGHING, "mass")
    for one in weighings:
        if one.egg_id == egg.id:
            text = as_text(fact, [getattr(one, part.name) for part in fact.parts])
            told = (words.of(fact, text),)
            lines.append(
                BookLine(words=told, address=address_of(nest.box.id, Subject.WEIGHING, one.id))
            )
    return BookSection(title=f"Egg {egg.number}", lines=tuple(lines))


def _line(nest: Nest, clutch: Clutch, subject: Subject, subject_id: int, words: Words) -> BookLine:
    told = []
    for fact in facts_of(subject):
        text = as_text(fact, value_in(clutch, fact, subject_id))
        if text is not None and fact.name != "round":
            told.append(upper(words.of(fact, text)))
    nothing = {Subject.CHICK: "Chick without a ring", Subject.CLUTCH: "Nothing told by hand"}
    return BookLine(
        words=tuple(told) or (nothing.get(subject, "Nothing noted"),),
        address=address_of(nest.box.id, subject, subject_id),
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
