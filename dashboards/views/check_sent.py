"""What a nest check form sent, as a check. Pure.

Counts are what lies in the box at the end of the look. Where the keeper left both counts as
they were and named what hatched, was lost or is not in sight, the counts follow from the names:
nobody has to do sums with wet hands.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from dashboards.views.check_taps import with_taps
from dashboards.views.typed_time import typed_time
from service.errors import InputError
from service.nests.compare import CLOCKS_MAY_DIFFER_BY
from service.nests.nest import (
    BeddingLevel,
    BeddingSeen,
    Candling,
    ChickFate,
    ChickGone,
    ChickRinged,
    EggCandled,
    EggFate,
    EggLost,
    GuestSeen,
    HenSeen,
    NestCheck,
    Weighed,
)
from service.nests.question import NOT_IN_SIGHT
from service.nests.typed_text import LONGEST_RING, note_fault, text_fault, whole_of

MOST_EGGS = 30
MOST_LETTERS_OF_A_NOTE = 2000
LONGEST_KEPT_S = 400 * 86400
"""So long a look that was pressed may have waited in a phone [s]."""


class _Sent(BaseModel):
    """The fields that every form has."""

    model_config = ConfigDict(extra="ignore", str_strip_whitespace=True)

    form_id: UUID
    at: str = ""
    at_before: str = ""
    pressed_at: datetime | None = None
    ago_s: float = Field(default=0, ge=0, le=LONGEST_KEPT_S)
    as_of_now: bool = False
    new_eggs: int = Field(default=0, ge=0, le=MOST_EGGS)
    eggs: int = Field(ge=0, le=MOST_EGGS)
    chicks: int = Field(ge=0, le=MOST_EGGS)
    eggs_before: int | None = Field(default=None, ge=0, le=MOST_EGGS)
    chicks_before: int | None = Field(default=None, ge=0, le=MOST_EGGS)
    hen: HenSeen = HenSeen.NOT_SEEN
    note: str = ""
    hide_in: bool = False
    sure: bool = False
    counted: bool = False
    bedding: BeddingLevel | None = None
    thrown_out: bool = False
    put_back: bool = False
    taken_out: bool = False


_FIELD_WORDS = {
    "form_id": "the form has no number of its own; open it anew",
    "eggs": "eggs: a number from 0 to 30",
    "chicks": "chicks: a number from 0 to 30",
    "hen": "hen: one of the four choices",
    "bedding": "bedding: one of the four levels, or nothing",
}


def check_from_form(
    fields: Mapping[str, str],
    box: str,
    now: datetime,
    zone: ZoneInfo,
    *,
    guests: Mapping[int, int] | None = None,
    out: Collection[str] = (),
    last_look: datetime | None = None,
) -> NestCheck:
    """The check that a form tells.

    One whose time was left as it stood was made when it was pressed, ``ago_s`` before it came.
    Two phones that press at about the same time are heard in any order: it then counts as made
    with ``last_look``, the last one of the book, and nobody is asked.

    ``egg.3.fate``, ``egg.3.candled``, ``egg.3.mass``, ``chick.3.ring``, ``chick.3.fate`` and
    ``chick.3.mass`` name single eggs and chicks (a chick by its egg's number); ``guest.17.…``
    the guest of the book's egg 17. Left empty they say nothing. ``guests`` are the numbers of the
    guests' eggs by their ids; ``out`` are the fields of chicks that are out of the box already
    ("chick.1", "guest.17"), and so are not counted out of it again.

    Raises:
        InputError: a field is not what it should be; the message says which.
    """
    fields = with_taps(fields)
    try:
        sent = _Sent.model_validate({name: value for name, value in fields.items() if value})
    except ValidationError as error:
        name = str(error.errors()[0]["loc"][0])
        raise InputError(_FIELD_WORDS.get(name, f"{name} is not understood")) from error
    if (fault := note_fault(sent.note, MOST_LETTERS_OF_A_NOTE)) is not None:
        raise InputError(f"note: {fault}")
    named = _Named.read(fields, guests or {}, out)
    eggs, chicks = sent.eggs, sent.chicks
    untouched = (sent.eggs_before, sent.chicks_before) == (sent.eggs, sent.chicks)
    if untouched and not sent.counted:
        more_eggs, more_chicks = named.counted(sent.new_eggs)
        eggs, chicks = max(0, eggs + more_eggs), max(0, chicks + more_chicks)
    at = pressed_at(sent, now, zone)
    if last_look is not None and at < last_look <= at + CLOCKS_MAY_DIFFER_BY:
        at = last_look if _is_untouched(sent) else at
    return NestCheck(
        form_id=sent.form_id,
        box=box,
        at=now if sent.as_of_now else at,
        eggs=eggs,
        chicks=chicks,
        hen=sent.hen,
        hatched=named.hatched,
        lost=named.lost,
        candled=named.candled,
        ringed=named.ringed,
        gone=named.gone,
        guests=named.guests,
        not_in_sight=named.not_in_sight,
        bedding=_bedding(sent),
        weighed=named.weighed,
        hide_in=sent.hide_in,
        sure=sent.sure,
        note=_note(sent, at, zone),
    )


def told_of_counts(
    fields: Mapping[str, str], *, guests: Mapping[int, int], out: Collection[str]
) -> tuple[int, int]:
    """By how many eggs and chicks the names and taps of a form change the counts.

    Raises:
        InputError: as ``check_from_form``.
    """
    told = with_taps(fields)
    return _Named.read(told, guests, out).counted(whole_of(told.get("new_eggs", "")) or 0)


def made_at(fields: Mapping[str, str], now: datetime, zone: ZoneInfo) -> datetime:
    """When the look of a form was made; now, where the form does not tell it plainly."""
    names = ("form_id", "eggs", "chicks", "at", "at_before", "pressed_at", "ago_s")
    try:
        told = {name: fields[name] for name in names if fields.get(name)}
        return pressed_at(_Sent.model_validate(told), now, zone)
    except (ValidationError, InputError):
        return now


def pressed_at(sent: _Sent, now: datetime, zone: ZoneInfo) -> datetime:
    """What the keeper wrote, else what an earlier answer held on to, else so long ago."""
    if sent.at and not _is_untouched(sent):
        return _at(sent.at, now, zone)
    if sent.pressed_at is not None and sent.pressed_at.tzinfo is not None:
        return sent.pressed_at.astimezone(UTC)
    return now - timedelta(seconds=sent.ago_s)


def _is_untouched(sent: _Sent) -> bool:
    """Whether the keeper left the time of the look as it was filled in."""
    return not sent.at or sent.at == sent.at_before


def _note(sent: _Sent, at: datetime, zone: ZoneInfo) -> str:
    """One that is entered as of now says when it was."""
    if not sent.as_of_now:
        return sent.note
    local = at.astimezone(zone)
    return f"{sent.note}\nLooked in on {local.day} {local:%B} at {local:%H:%M}.".strip()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Named:
    """What is told of single eggs, chicks and guests."""

    hatched: tuple[int, ...]
    lost: tuple[EggLost, ...]
    not_in_sight: tuple[int, ...]
    candled: tuple[EggCandled, ...]
    ringed: tuple[ChickRinged, ...]
    gone: tuple[ChickGone, ...]
    guests: tuple[GuestSeen, ...]
    weighed: tuple[Weighed, ...]
    out: frozenset[str]

    @classmethod
    def read(
        cls, fields: Mapping[str, str], guests: Mapping[int, int], out: Collection[str]
    ) -> "_Named":
        """From the fields with dots in their names."""
        fates = _words(fields, "egg", "fate", _EGG_WORDS)
        return cls(
            hatched=tuple(n for n, word in fates if word == EggFate.HATCHED),
            lost=tuple(
                EggLost(number=n, fate=EggFate(word))
                for n, word in fates
                if word not in (EggFate.HATCHED, NOT_IN_SIGHT)
            ),
            not_in_sight=tuple(n for n, word in fates if word == NOT_IN_SIGHT),
            candled=tuple(
                EggCandled(number=n, result=Candling(word))
                for n, word in _words(fields, "egg", "candled", tuple(Candling))
            ),
            ringed=tuple(
                ChickRinged(egg_number=n, ring=ring) for n, ring in _rings(fields, "chick")
            ),
            gone=tuple(
                ChickGone(egg_number=n, fate=ChickFate(word))
                for n, word in _words(fields, "chick", "fate", tuple(ChickFate))
            ),
            guests=_guests(fields),
            weighed=tuple(_weighed(fields, guests)),
            out=frozenset(out),
        )

    def counted(self, new_eggs: int) -> tuple[int, int]:
        """By how much both counts change, by what is named and the new eggs."""
        seen = self.guests
        hatched = len(self.hatched) + sum(one.hatched for one in seen)
        away = len(self.lost) + len(self.not_in_sight)
        away += sum(one.lost is not None or one.not_in_sight for one in seen)
        gone = sum(f"chick.{one.egg_number}" not in self.out for one in self.gone)
        gone += sum(one.gone is not None and f"guest.{one.egg_id}" not in self.out for one in seen)
        return new_eggs - hatched - away, hatched - gone


_EGG_WORDS = (*EggFate, NOT_IN_SIGHT)


def _at(told: str, now: datetime, zone: ZoneInfo) -> datetime:
    """Local time of the look; without one it is now."""
    if not told:
        return now
    return typed_time(told, zone, now=now)


def _bedding(sent: _Sent) -> BeddingSeen | None:
    """None where nothing was said of it."""
    seen = BeddingSeen(
        level=sent.bedding,
        thrown_out=sent.thrown_out,
        put_back=sent.put_back,
        taken_out=sent.taken_out,
    )
    return None if seen == BeddingSeen() else seen


def _guests(fields: Mapping[str, str]) -> tuple[GuestSeen, ...]:
    """One for each guest of which something is told."""
    fates = dict(_words(fields, "guest", "fate", _EGG_WORDS))
    candled = dict(_words(fields, "guest", "candled", tuple(Candling)))
    gone = dict(_words(fields, "guest", "gone", tuple(ChickFate)))
    rings = dict(_rings(fields, "guest"))
    return tuple(
        GuestSeen(
            egg_id=egg_id,
            candled=Candling(candled[egg_id]) if egg_id in candled else None,
            lost=_lost(fates.get(egg_id)),
            hatched=fates.get(egg_id) == EggFate.HATCHED,
            ring=rings.get(egg_id),
            gone=ChickFate(gone[egg_id]) if egg_id in gone else None,
            not_in_sight=fates.get(egg_id) == NOT_IN_SIGHT,
        )
        for egg_id in sorted({*fates, *candled, *gone, *rings})
    )


def _lost(word: str | None) -> EggFate | None:
    return None if word in (None, EggFate.HATCHED, NOT_IN_SIGHT) else EggFate(str(word))


def _weighed(fields: Mapping[str, str], guests: Mapping[int, int]) -> Iterator[Weighed]:
    for thing in ("egg", "chick"):
        for number, told in _numbered(fields, thing, "mass"):
            yield Weighed(egg_number=number, mass_g=_grams(f"{thing} {number}", told))
    for egg_id, told in _numbered(fields, "guest", "mass"):
        grams = _grams("a guest", told)
        # One that was moved on meanwhile is asked about, whatever its number.
        yield Weighed(egg_number=guests.get(egg_id, 0), egg_id=egg_id, mass_g=grams)


def _grams(thing: str, told: str) -> float:
    try:
        return float(told.replace(",", "."))
    except ValueError as error:
        raise InputError(f"{thing}: {told!r} is no mass in grams, like 2.1") from error


def _words(
    fields: Mapping[str, str], thing: str, what: str, words: tuple[str, ...]
) -> list[tuple[int, str]]:
    found = _numbered(fields, thing, what)
    for number, value in found:
        if value not in words:
            raise InputError(f"{thing} {number}: {value!r} is not one of the choices")
    return found


def _numbered(fields: Mapping[str, str], thing: str, what: str) -> list[tuple[int, str]]:
    """The filled fields ``thing.N.what``, by number; a guest's is that of its egg in the book."""
    most = 10**9 if thing == "guest" else MOST_EGGS
    found = []
    for name, value in fields.items():
        parts = name.split(".")
        if len(parts) == 3 and parts[0] == thing and parts[2] == what and value.strip():
            number = whole_of(parts[1])
            if number is None or not 0 < number <= most:
                raise InputError(f"{thing} {parts[1]!r}: eggs are numbered from 1 to {MOST_EGGS}")
            found.append((number, value.strip()))
    return sorted(found)


def _rings(fields: Mapping[str, str], thing: str) -> list[tuple[int, str]]:
    rings = _numbered(fields, thing, "ring")
    for number, ring in rings:
        if (fault := text_fault(ring, LONGEST_RING)) is not None:
            raise InputError(f"{thing} {number}, its ring: {fault}")
    return rings
