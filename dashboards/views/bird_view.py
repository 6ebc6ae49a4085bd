"""A bird as its page and the sheet to hand over tell it. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from dashboards.views.bird_names import bird_label, is_found, standing_pairs, whereabouts
from dashboards.views.kinship_view import KinshipView, kin_or_loop
from dashboards.views.local_words import moment
from service.nests.book_correction import BookCorrection
from service.nests.condition_note import ConditionNote
from service.nests.nest import Bird, Life, Pair
from service.nests.parentage import day_in_words, life_in_words
from service.nests.place import Place


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdLink:
    """A bird to go to; ``words`` say what it is. ``id`` is None where nobody knows the bird."""

    id: int | None
    label: str
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdsView:
    """``here`` are alive, ``gone`` are not; ``text`` is what was looked for."""

    text: str
    here: tuple[BirdLink, ...]
    gone: tuple[BirdLink, ...]
    total: int


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteLine:
    """A condition note; ``written`` is empty where it was written on its own day."""

    day: str
    text: str
    by: str
    written: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionLine:
    """A change in words; ``undone`` tells who took it back, and may be empty."""

    id: int
    words: str
    when: str
    undone: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PairLine:
    """A pair that the bird was in."""

    id: int
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdView:
    """``forebears`` are sire and dam, each with its own.

    ``loop`` says why no kinship can be told: a bird of the book is its own forebear.
    """

    id: int
    label: str
    facts: tuple[tuple[str, str], ...]
    forebears: tuple[tuple[BirdLink, tuple[BirdLink, BirdLink]], ...]
    kinship: KinshipView | None
    loop: str
    young: tuple[BirdLink, ...]
    pairs: tuple[PairLine, ...]
    still_paired: PairLine | None
    notes: tuple[NoteLine, ...]
    corrections: tuple[CorrectionLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What the book knows around a bird; ``birds`` by id."""

    birds: Mapping[int, Bird]
    pairs: Sequence[Pair]
    places: Sequence[Place]


def birds_view(known: Known, text: str) -> BirdsView:
    """Those whom every word of ``text`` finds."""
    paired = standing_pairs(known.pairs)
    here, gone = [], []
    for bird in known.birds.values():
        where = whereabouts(bird, paired, known.places)
        if not is_found(bird, text, where):
            continue
        if bird.life is Life.ALIVE:
            here.append(_link(bird, where))
        else:
            gone.append(_link(bird, life_in_words(bird)))
    return BirdsView(text=text, here=_sorted(here), gone=_sorted(gone), total=len(known.birds))


def _sorted(links: list[BirdLink]) -> tuple[BirdLink, ...]:
    return tuple(sorted(links, key=lambda one: one.label.casefold()))


def _link(bird: Bird, more: str = "") -> BirdLink:
    return BirdLink(id=bird.id, label=bird_label(bird), words=_in_short(bird, more))


def _in_short(bird: Bird, more: str = "") -> str:
    hatched = f"hatched {day_in_words(bird.hatched_on)}" if bird.hatched_on else ""
    sex = "sex unknown" if bird.sex.value == "unknown" else bird.sex.value
    return ", ".join(one for one in (sex, bird.variety, hatched, more) if one)


def bird_view(
    bird: Bird,
    known: Known,
    notes: Sequence[ConditionNote],
    corrections: Sequence[BookCorrection],
    *,
    now: datetime,
    zone: ZoneInfo,
) -> BirdView:
    """All that the book knows of one bird."""
    kin = kin_or_loop(known.birds)
    paired = standing_pairs(known.pairs)
    pairs = [pair for pair in known.pairs if bird.id in (pair.cock.id, pair.hen.id)]
    standing = paired.get(bird.id)
    return BirdView(
        id=bird.id,
        label=bird_label(bird),
        facts=_facts(bird, known),
        forebears=forebears(bird, known.birds),
        kinship=None if isinstance(kin, str) else kin.of_parents(bird),
        loop=kin if isinstance(kin, str) else "",
        young=_sorted(
            [_link(one) for one in known.birds.values() if bird.id in (one.sire_id, one.dam_id)]
        ),
        pairs=tuple(_pair(pair, bird, known.places) for pair in pairs),
        still_paired=_pair(standing, bird, known.places)
        if standing and bird.life is not Life.ALIVE
        else None,
        notes=note_lines(notes, now, zone),
        corrections=correction_lines(corrections, known, now, zone),
    )


def _facts(bird: Bird, known: Known) -> tuple[tuple[str, str], ...]:
    unknown = "not known"
    where = whereabouts(bird, standing_pairs(known.pairs), known.places)
    return (
        ("Ring", bird.ring or "none"),
        ("Name", bird.name or "none"),
        ("Sex", bird.sex.value),
        ("Variety", bird.variety or unknown),
        ("Hatched", day_in_words(bird.hatched_on) if bird.hatched_on else unknown),
        ("Where", where or "nobody said"),
        ("Now", life_in_words(bird)),
    )


def forebears(
    bird: Bird, birds: Mapping[int, Bird]
) -> tuple[tuple[BirdLink, tuple[BirdLink, BirdLink]], ...]:
    """Sire and dam, each with its own sire and dam; one that nobody knows is said to be so."""
    told = []
    for what, parent_id in (("sire", bird.sire_id), ("dam", bird.dam_id)):
        parent = birds.get(parent_id or 0)
        above = (parent.sire_id, parent.dam_id) if parent else (None, None)
        told.append(
            (
                _forebear(parent_id, birds, what),
                (
                    _forebear(above[0], birds, f"{what}'s sire"),
                    _forebear(above[1], birds, f"{what}'s dam"),
                ),
            )
        )
    return tuple(told)


def _forebear(bird_id: int | None, birds: Mapping[int, Bird], what: str) -> BirdLink:
    bird = birds.get(bird_id or 0)
    if bird is None:
        return BirdLink(id=None, label="not known", words=what)
    return BirdLink(id=bird.id, label=bird_label(bird), words=what)


def _pair(pair: Pair, bird: Bird, places: Sequence[Place]) -> PairLine:
    other = pair.hen if pair.cock.id == bird.id else pair.cock
    where = next((place.name for place in places if place.id == pair.cage), pair.cage)
    until = f" to {day_in_words(pair.ended_on)}" if pair.ended_on else ", still"
    return PairLine(
        id=pair.id,
        words=f"with {bird_label(other)} in {where}, from {day_in_words(pair.put_up_on)}{until}",
    )


def note_lines(
    notes: Sequence[ConditionNote], now: datetime, zone: ZoneInfo
) -> tuple[NoteLine, ...]:
    """Notes as they came, newest first; a day of writing that is another one is told."""
    return tuple(
        NoteLine(
            day=day_in_words(note.on),
            text=note.text,
            by=note.by or "",
            written=""
            if note.noted_at.astimezone(zone).date() == note.on
            else f"written {moment(note.noted_at, now, zone)}",
        )
        for note in notes
    )


_FACTS = {
    "hatched_on": "hatched",
    "sire_id": "sire",
    "dam_id": "dam",
    "place": "where",
    "life": "now",
    "life_since": "since",
    "ended_on": "ended",
}


def correction_lines(
    corrections: Sequence[BookCorrection], known: Known, now: datetime, zone: ZoneInfo
) -> tuple[CorrectionLine, ...]:
    """Newest first."""
    told = []
    for one in reversed(corrections):
        before, after = _value(one.fact, one.before, known), _value(one.fact, one.after, known)
        why = f" ({one.why})" if one.why else ""
        told.append(
            CorrectionLine(
                id=one.id,
                words=f"{_FACTS.get(one.fact, one.fact)}: {before}, now {after}{why}",
                when=f"{moment(one.at, now, zone)}, {one.by or 'nobody named'}",
                undone=_undone(one, now, zone),
            )
        )
    return tuple(told)


def _undone(one: BookCorrection, now: datetime, zone: ZoneInfo) -> str:
    if one.undone_at is None:
        return ""
    return f"undone {moment(one.undone_at, now, zone)}, {one.undone_by or 'nobody named'}"


def _value(fact: str, told: str | None, known: Known) -> str:
    if told is None:
        return "nothing"
    if fact in ("sire_id", "dam_id"):
        bird = known.birds.get(int(told))
        return bird_label(bird) if bird else f"bird {told}"
    if fact == "place":
        return next((place.name for place in known.places if place.id == told), told)
    if fact in ("hatched_on", "life_since", "ended_on"):
        return day_in_words(date.fromisoformat(told))
    return told
