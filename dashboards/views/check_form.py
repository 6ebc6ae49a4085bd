"""The nest check form as it is shown: new, or as it was sent and came back. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from dashboards.views.check_expected import ExpectedPart, Offering, Offers
from dashboards.views.check_rebased import rebased
from dashboards.views.check_sent import made_at
from service.nests.as_seen import sign_of
from service.nests.book_says import BookSays, upper
from service.nests.guests import (
    chicks_at_home,
    chicks_of_guests,
    eggs_of_guests,
    lying_at_home,
)
from service.nests.nest import (
    BeddingLevel,
    Candling,
    Chick,
    ChickFate,
    Clutch,
    Egg,
    EggFate,
    Guest,
    HenSeen,
    Nest,
)
from service.nests.question import NOT_IN_SIGHT, SURE, Question, QuestionKind


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """The fields as they were sent, and those that a question asks for."""

    sent: Mapping[str, str]
    asked: frozenset[str]

    def get(self, name: str) -> str:
        return self.sent.get(name, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pick:
    """One choice to be made; ``name`` is the field, ``label`` what it is asked about."""

    name: str
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EggPart:
    """An egg that lies there, one of our own or a guest, with its fields as sent.

    ``field`` is what the names of its fields begin with. ``asked``: a question above asks what
    became of it, so it is not asked here again; ``lit``: the candling is asked above.
    """

    field: str
    number: int
    title: str
    words: str
    fate: str
    candled: str
    mass: str
    asked: bool
    lit: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ChickPart:
    """A chick in the box, one of our own or a guest, with its fields as sent."""

    field: str
    number: int
    title: str
    words: str
    gone_field: str
    ringed: bool
    ring: str
    fate: str
    mass: str
    asked: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Asking:
    """A question of the book. ``picks`` are to be answered with a word of ``choices``."""

    sentence: str
    picks: tuple[Pick, ...]
    choices: tuple[str, ...]
    sure: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BeddingPart:
    """The bedding as sent."""

    level: str
    thrown_out: bool
    put_back: bool
    taken_out: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckFormView:
    """``open_part``: the part for what is different stands open. ``wrong`` is a sentence.

    ``at_before`` is the time as it was filled in, and ``pressed_at`` when the look was made,
    where the form has come back. ``sign`` and ``last_look`` tell the nest that is shown.
    ``out_of_order``: the book has a later look, and this one can be entered as of now.
    """

    box: str
    name: str
    form_id: str
    at: str
    at_before: str
    pressed_at: str
    sign: str
    last_look: str
    back: str
    cage: str
    summary: str
    expected: ExpectedPart
    eggs: int
    chicks: int
    eggs_before: int
    chicks_before: int
    hen: str
    hens: tuple[str, ...]
    eggs_lying: tuple[EggPart, ...]
    chicks_here: tuple[ChickPart, ...]
    away: str
    egg_fates: tuple[str, ...]
    candlings: tuple[str, ...]
    chick_fates: tuple[str, ...]
    bedding: BeddingPart
    levels: tuple[str, ...]
    note: str
    hide_in: bool
    open_part: bool
    counted: bool
    out_of_order: bool
    questions: tuple[Asking, ...] = ()
    wrong: str | None = None


_HIDDEN_AWAY = ("note", "bedding", "thrown_out", "put_back", "taken_out")


def check_form(
    nest: Nest,
    form_id: str,
    summary: str,
    now: datetime,
    zone: ZoneInfo,
    *,
    book: BookSays,
    offers: Offers,
    back: str = "",
    sent: Mapping[str, str] | None = None,
    questions: Sequence[Question] = (),
    wrong: str | None = None,
) -> CheckFormView:
    """A new form, filled as things were last time; or one that comes back, as it was sent."""
    told = dict(sent or {})
    if sent and told.get("sign") not in (None, sign_of(nest)):
        told = rebased(told, nest)
    clutch = nest.clutch if nest.clutch and nest.clutch.closed_at is None else None
    asked = frozenset(pick.name for one in questions for pick in _picks(one, nest, book))
    fields = _Told(sent=told, asked=asked)
    part = Offering(nest, offers, told, book=book, now=now, zone=zone).part()
    lit = {egg.field for egg in part.candle.eggs} if part.candle else set()
    eggs = tuple(replace(egg, lit=egg.field in lit) for egg in _eggs(clutch, nest, fields, book))
    chicks = _chicks(clutch, nest, fields, book)
    last_hen = nest.checks[-1].hen if nest.checks else HenSeen.NOT_SEEN
    return CheckFormView(
        box=nest.box.id,
        name=nest.box.name,
        form_id=form_id,
        at=told.get("at") or _minute(now, zone),
        at_before=told.get("at_before", "") if sent else _minute(now, zone),
        pressed_at=made_at(told, now, zone).isoformat() if sent else "",
        sign=sign_of(nest),
        last_look=str(nest.checks[-1].form_id) if nest.checks else "",
        back=told.get("back", back),
        cage=nest.box.within or nest.box.id,
        summary=summary,
        expected=part,
        eggs=_whole(told.get("eggs"), len(eggs)),
        chicks=_whole(told.get("chicks"), len(chicks)),
        eggs_before=len(eggs),
        chicks_before=len(chicks),
        hen=told.get("hen", last_hen.value),
        hens=tuple(HenSeen),
        eggs_lying=eggs,
        chicks_here=chicks,
        away=_away(clutch, book),
        egg_fates=("hatched", NOT_IN_SIGHT, *(f for f in EggFate if f is not EggFate.HATCHED)),
        candlings=tuple(Candling),
        chick_fates=tuple(ChickFate),
        bedding=BeddingPart(
            level=told.get("bedding", ""),
            thrown_out=bool(told.get("thrown_out")),
            put_back=bool(told.get("put_back")),
            taken_out=bool(told.get("taken_out")),
        ),
        levels=tuple(BeddingLevel),
        note=told.get("note", ""),
        hide_in=bool(told.get("hide_in")),
        open_part=_has_more(told, eggs, chicks) or bool(wrong),
        counted=bool(told.get("counted")) or bool(questions),
        out_of_order=any(one.kind is QuestionKind.OLDER for one in questions),
        questions=tuple(_asking(question, nest, book) for question in questions),
        wrong=wrong,
    )


def _has_more(
    told: Mapping[str, str], eggs: Sequence[EggPart], chicks: Sequence[ChickPart]
) -> bool:
    """Whether something is told that stands in the part for what is different."""
    if any(told.get(name) for name in _HIDDEN_AWAY):
        return True
    of_eggs = any(egg.fate or egg.mass or (egg.candled and not egg.lit) for egg in eggs)
    return of_eggs or any(chick.ring or chick.fate or chick.mass for chick in chicks)


def _minute(at: datetime, zone: ZoneInfo) -> str:
    return at.astimezone(zone).strftime("%Y-%m-%dT%H:%M")


def _eggs(clutch: Clutch | None, nest: Nest, told: _Told, book: BookSays) -> tuple[EggPart, ...]:
    own = [
        _egg(egg, f"egg.{egg.number}", f"Egg {egg.number}", told)
        for egg in (lying_at_home(clutch) if clutch else ())
    ]
    guests = [
        _egg(guest.egg, f"guest.{guest.egg.id}", upper(book.guest(guest)), told)
        for guest in eggs_of_guests(nest)
    ]
    return (*own, *guests)


def _egg(egg: Egg, field: str, title: str, told: _Told) -> EggPart:
    return EggPart(
        field=field,
        number=egg.number,
        title=title,
        words=f"candled: {egg.candling}" if egg.candling else "",
        fate=told.get(f"{field}.fate"),
        candled=told.get(f"{field}.candled"),
        mass=told.get(f"{field}.mass"),
        asked=f"{field}.fate" in told.asked,
        lit=False,
    )


def _chicks(
    clutch: Clutch | None, nest: Nest, told: _Told, book: BookSays
) -> tuple[ChickPart, ...]:
    own = [
        _chick(chick, f"chick.{chick.egg_number}", "fate", f"Chick {chick.egg_number}", told)
        for chick in (chicks_at_home(clutch) if clutch else ())
    ]
    guests = [
        _chick(guest.chick, f"guest.{guest.egg.id}", "gone", upper(book.guest(guest)), told)
        for guest in chicks_of_guests(nest)
        if guest.chick is not None
    ]
    return (*own, *guests)


def _chick(chick: Chick, field: str, gone: str, title: str, told: _Told) -> ChickPart:
    return ChickPart(
        field=field,
        number=chick.egg_number,
        title=title,
        words=f"ring {chick.ring}" if chick.ring else "no ring yet",
        gone_field=f"{field}.{gone}",
        ringed=chick.ring is not None,
        ring=told.get(f"{field}.ring"),
        fate=told.get(f"{field}.{gone}"),
        mass=told.get(f"{field}.mass"),
        asked=f"{field}.{gone}" in told.asked,
    )


def _away(clutch: Clutch | None, book: BookSays) -> str:
    """Where the eggs and chicks of this pair are that lie elsewhere, in a sentence."""
    if clutch is None:
        return ""
    where = [
        f"egg {egg.number} in {book.name(egg.box(clutch.box))}"
        for egg in clutch.eggs
        if egg.fate in (None, EggFate.HATCHED) and egg.box(clutch.box) != clutch.box
    ]
    return f"Moved away, and not counted here: {', '.join(where)}." if where else ""


def _asking(question: Question, nest: Nest, book: BookSays) -> Asking:
    return Asking(
        sentence=question.sentence,
        picks=_picks(question, nest, book),
        choices=tuple(str(choice) for choice in question.choices if choice != SURE),
        sure=SURE in question.choices,
    )


def _picks(question: Question, nest: Nest, book: BookSays) -> tuple[Pick, ...]:
    if not question.choices or SURE in question.choices:
        return ()
    chicks = bool(set(question.choices) & set(ChickFate))
    thing = "chick" if chicks else "egg"
    own = [
        Pick(name=f"{thing}.{number}.fate", label=f"{thing} {number}")
        for number in question.numbers
    ]
    here = {guest.egg.id: guest for guest in nest.guests}
    guests = [_guest_pick(here[egg_id], chicks, book) for egg_id in question.guests]
    return (*own, *guests)


def _guest_pick(guest: Guest, chicks: bool, book: BookSays) -> Pick:
    what = "gone" if chicks else "fate"
    return Pick(name=f"guest.{guest.egg.id}.{what}", label=book.guest(guest))


def _whole(told: str | None, otherwise: int) -> int:
    """A number as it is shown again; what is none, or longer than any count, is not."""
    is_count = told and told.isascii() and told.isdigit() and len(told) <= 4
    return int(told) if told and is_count else otherwise
