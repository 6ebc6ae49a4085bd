"""Pairs: who is put up where, who may be, and what came of each. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from dashboards.views.bird_form import day_typed
from dashboards.views.bird_names import bird_label, bird_meant, standing_pairs, whereabouts
from dashboards.views.bird_view import CorrectionLine, Known, correction_lines
from dashboards.views.kinship_view import Kin, KinshipView, kin_or_loop
from dashboards.views.local_words import count, local_day
from service.nests.book_correction import BookCorrection
from service.nests.nest import Bird, ChickFate, Clutch, EggFate, Life, Pair, Sex
from service.nests.parentage import day_in_words
from service.nests.place import Place, PlaceKind
from service.nests.putting_up import pairing_faults


@dataclass(frozen=True, slots=True, kw_only=True)
class CageLine:
    """A cage or flight in walking order; ``pair_id`` is None where it is free."""

    id: str
    name: str
    pair_id: int | None
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FormerLine:
    """A pair that has ended."""

    id: int
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PairsView:
    """``former`` are newest first."""

    cages: tuple[CageLine, ...]
    former: tuple[FormerLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Partner:
    """Somebody a chosen bird may be put up with; ``words`` are the kinship in short."""

    label: str
    words: str
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PairingView:
    """``partners`` are for the one bird that is chosen, least kin first; ``shown`` goes back
    with the form, so that nobody puts up a pair whose kinship was not shown.
    """

    typed: Mapping[str, str]
    cages: tuple[tuple[str, str], ...]
    cocks: tuple[str, ...]
    hens: tuple[str, ...]
    today: str
    kinship: KinshipView | None = None
    loop: str = ""
    shown: str = ""
    ends: str = ""
    partners: tuple[Partner, ...] = ()
    partners_of: str = ""
    partners_are: str = "hen"


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """What was read of the form; ``faults`` in words. None: not chosen yet, or not to be read."""

    cock: Bird | None = None
    hen: Bird | None = None
    cage: str | None = None
    on: date | None = None
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ClutchLine:
    """One clutch of a pair; ``box`` is where it was laid."""

    box: str
    box_name: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PairView:
    """One pair with its history; ``cage_words`` say where and from when to when.

    ``still_open`` are the boxes in which a clutch of theirs goes on.
    """

    id: int
    title: str
    cock: tuple[int, str]
    hen: tuple[int, str]
    cage_words: str
    kinship: KinshipView | None
    loop: str
    stands: bool
    first_day: str
    clutches: tuple[ClutchLine, ...]
    corrections: tuple[CorrectionLine, ...]
    boxes: tuple[tuple[str, str], ...] = ()
    still_open: tuple[str, ...] = ()


def pairs_view(known: Known) -> PairsView:
    """Every cage with its pair, and the pairs that have ended."""
    standing = {pair.cage: pair for pair in known.pairs if pair.ended_on is None}
    names = {place.id: place.name for place in known.places}
    return PairsView(
        cages=tuple(
            _cage_line(place, standing.get(place.id))
            for place in known.places
            if place.kind in (PlaceKind.CAGE, PlaceKind.FLIGHT)
            and (place.kind is PlaceKind.CAGE or place.id in standing)
        ),
        former=tuple(
            FormerLine(
                id=pair.id,
                words=f"{pair_label(pair)}, {names.get(pair.cage, pair.cage)}, "
                f"{day_in_words(pair.put_up_on)} to {day_in_words(pair.ended_on)}",
            )
            for pair in known.pairs
            if pair.ended_on is not None
        ),
    )


def _cage_line(place: Place, pair: Pair | None) -> CageLine:
    if pair is None:
        return CageLine(id=place.id, name=place.name, pair_id=None, words="free")
    return CageLine(
        id=place.id,
        name=place.name,
        pair_id=pair.id,
        words=f"{pair_label(pair)}, since {day_in_words(pair.put_up_on)}",
    )


def pair_label(pair: Pair) -> str:
    """The cock and the hen."""
    return f"{bird_label(pair.cock)} and {bird_label(pair.hen)}"


def read_pairing(typed: Mapping[str, str], known: Known, today: date) -> Chosen:
    """What was chosen so far; nothing chosen is no fault."""
    faults: list[str] = []
    birds = list(known.birds.values())
    chosen: dict[str, Bird | None] = {}
    for what in ("cock", "hen"):
        text = typed.get(what, "").strip()[:200]
        found = bird_meant(text, birds, what.capitalize()) if text else None
        chosen[what] = found if isinstance(found, Bird) else None
        if isinstance(found, str):
            faults.append(found)
    on = day_typed(typed.get("on", ""), "put up on", faults)
    if on is not None and on > today:
        faults.append(f"Put up on: {day_in_words(on)} is yet to come; allowed: up to today.")
    cage = typed.get("cage", "").strip()
    kinds = {place.id: place.kind for place in known.places}
    if cage and kinds.get(cage) not in (PlaceKind.CAGE, PlaceKind.FLIGHT):
        faults.append("Cage: choose one of the cages.")
    return Chosen(
        cock=chosen["cock"], hen=chosen["hen"], cage=cage or None, on=on, faults=tuple(faults)
    )


def whole_faults(chosen: Chosen, known: Known) -> tuple[str, ...]:
    """All that stands against putting these up, what was not chosen among it."""
    faults = list(chosen.faults)
    if chosen.cock is None or chosen.hen is None:
        faults += [] if faults else ["A cock and a hen are needed."]
        return tuple(faults)
    if chosen.cage is None:
        faults += [] if faults else ["Cage: choose one."]
        return tuple(faults)
    if chosen.on is None:
        faults += [] if faults else ["Put up on: a day is needed."]
        return tuple(faults)
    names = {place.id: place.name for place in known.places}
    faults += pairing_faults(
        chosen.cock, chosen.hen, cage=chosen.cage, on=chosen.on, pairs=known.pairs, names=names
    )
    return tuple(faults)


def pairing_view(
    typed: Mapping[str, str], chosen: Chosen, known: Known, today: date
) -> PairingView:
    """The form with the kinship of the two, or with partners for the one that is chosen."""
    alive = [bird for bird in known.birds.values() if bird.life is Life.ALIVE]
    both = chosen.cock is not None and chosen.hen is not None
    alone = None if both else chosen.cock or chosen.hen
    view = PairingView(
        typed=typed,
        cages=_cages(known),
        cocks=tuple(bird_label(bird) for bird in alive if bird.sex is not Sex.HEN),
        hens=tuple(bird_label(bird) for bird in alive if bird.sex is not Sex.COCK),
        today=today.isoformat(),
        ends=_ends(chosen, known),
    )
    kin = kin_or_loop(known.birds)
    if isinstance(kin, str):
        return replace(view, loop=kin)
    if chosen.cock and chosen.hen and chosen.cock.id != chosen.hen.id:
        kinship = kin.of_pair(chosen.cock, chosen.hen)
        return replace(view, kinship=kinship, shown=shown_mark(chosen))
    if alone is not None:
        is_cock = alone is chosen.cock
        return replace(
            view,
            partners=_partners(alone, alive, known, kin, is_cock=is_cock),
            partners_of=bird_label(alone),
            partners_are="hen" if is_cock else "cock",
        )
    return view


def shown_mark(chosen: Chosen) -> str:
    """Which two birds' kinship was shown; empty while one of them is not chosen."""
    return f"{chosen.cock.id}-{chosen.hen.id}" if chosen.cock and chosen.hen else ""


def _cages(known: Known) -> tuple[tuple[str, str], ...]:
    standing = {pair.cage: pair for pair in known.pairs if pair.ended_on is None}
    return tuple(
        (
            place.id,
            f"{place.name}, now {pair_label(standing[place.id])}"
            if place.id in standing
            else f"{place.name}, free",
        )
        for place in known.places
        if place.kind in (PlaceKind.CAGE, PlaceKind.FLIGHT)
    )


def _ends(chosen: Chosen, known: Known) -> str:
    """Which pair ends by it; empty where the cage is free, or the same two are in it."""
    for pair in known.pairs:
        if pair.ended_on is None and pair.cage == chosen.cage:
            if (
                chosen.cock
                and chosen.hen
                and (pair.cock.id, pair.hen.id)
                == (
                    chosen.cock.id,
                    chosen.hen.id,
                )
            ):
                return "These two are put up there already."
            return f"{pair_label(pair)} are there now; their pair ends on that day."
    return ""


def _partners(
    bird: Bird, alive: Sequence[Bird], known: Known, kin: Kin, *, is_cock: bool
) -> tuple[Partner, ...]:
    paired = standing_pairs(known.pairs)
    wrong = Sex.COCK if is_cock else Sex.HEN
    found = []
    for other in alive:
        if other.sex is wrong or other.id == bird.id:
            continue
        closeness, words = kin.closeness(*((bird, other) if is_cock else (other, bird)))
        where = whereabouts(other, paired, known.places)
        taken = f"paired in {where}" if other.id in paired else where
        partner = Partner(label=bird_label(other), words=words, where=taken)
        found.append((other.id in paired, closeness, partner.label, partner))
    return tuple(one[3] for one in sorted(found, key=lambda one: one[:3]))


def pair_view(
    pair: Pair,
    known: Known,
    clutches: Sequence[Clutch],
    corrections: Sequence[BookCorrection],
    *,
    now: datetime,
    zone: ZoneInfo,
) -> PairView:
    """One pair; ``clutches`` are its own, in any order."""
    names = {place.id: place.name for place in known.places}
    until = f" to {day_in_words(pair.ended_on)}" if pair.ended_on else ", and still"
    first = day_in_words(pair.put_up_on)
    kin = kin_or_loop(known.birds)
    return PairView(
        id=pair.id,
        title=pair_label(pair),
        cock=(pair.cock.id, bird_label(pair.cock)),
        hen=(pair.hen.id, bird_label(pair.hen)),
        cage_words=f"Put up in {names.get(pair.cage, pair.cage)} from {first}{until}.",
        kinship=None if isinstance(kin, str) else kin.of_pair(pair.cock, pair.hen),
        loop=kin if isinstance(kin, str) else "",
        stands=pair.ended_on is None,
        first_day=pair.put_up_on.isoformat(),
        clutches=tuple(
            _clutch(clutch, names, zone) for clutch in sorted(clutches, key=lambda one: one.id)
        ),
        corrections=correction_lines(corrections, known, now, zone),
        boxes=tuple(
            (place.id, place.name)
            for place in known.places
            if place.kind is PlaceKind.BOX and place.within == pair.cage
        ),
        still_open=tuple(
            names.get(clutch.box, clutch.box) for clutch in clutches if clutch.closed_at is None
        ),
    )


def _clutch(clutch: Clutch, names: Mapping[str, str], zone: ZoneInfo) -> ClutchLine:
    hatched = sum(egg.fate is EggFate.HATCHED for egg in clutch.eggs)
    out = sum(chick.fate in (ChickFate.FLEDGED, ChickFate.WEANED) for chick in clutch.chicks)
    began = ""
    if clutch.eggs:
        began = f", first egg {day_in_words(local_day(clutch.eggs[0].laid_to, zone))}"
    state = "closed" if clutch.closed_at else "still open"
    return ClutchLine(
        box=clutch.box,
        box_name=names.get(clutch.box, clutch.box),
        words=f"round {clutch.round}{began}: {count(len(clutch.eggs), 'egg')}, {hatched} hatched, "
        f"{out} out of the box; {state}",
    )
