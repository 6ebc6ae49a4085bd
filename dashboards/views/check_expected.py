"""What the nest check form offers as one tap: today's events, with numbers filled in. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from dashboards.views.check_taps import CANDLE, tap_egg
from dashboards.views.local_words import day_short, local_day, near_day, span_of_days
from service.nests.book_says import BookSays
from service.nests.expected import Expected, Sight
from service.nests.nest import Egg, Nest

_NO_RING_KNOWN = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tap:
    """One tick that tells one thing. ``egg`` is the number of a new egg, else 0; ``eggs`` and
    ``chicks`` are what it adds to the counts. ``fate`` is the field of the whole form that tells
    of the same egg or chick.
    """

    field: str
    value: str
    words: str
    when: str
    ticked: bool
    egg: int = 0
    eggs: int = 0
    chicks: int = 0
    fate: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RingTap:
    """A ring to put on: ``offered`` is the next of the row, ``ring`` what stands there."""

    tap: Tap
    field: str
    ring: str
    offered: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CandleEgg:
    """An egg to hold to a light, with what the form tells of it already."""

    field: str
    title: str
    candled: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CandlePart:
    """All eggs to hold to a light; ``rest`` is the one tap that tells the rest to be fertile."""

    rest: Tap
    eggs: tuple[CandleEgg, ...]

    @property
    def single(self) -> bool:
        """Whether something is told of one egg by itself."""
        return any(egg.candled for egg in self.eggs)


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedPart:
    """All that is offered. ``hide_in`` is None where nothing is to go in."""

    taps: tuple[Tap, ...] = ()
    rings: tuple[RingTap, ...] = ()
    candle: CandlePart | None = None
    hide_in: Tap | None = None

    @property
    def any(self) -> bool:
        """Whether something is expected at all."""
        return bool(self.taps or self.rings or self.candle or self.hide_in)


@dataclass(frozen=True, slots=True, kw_only=True)
class Offers:
    """What the book has ready for a form: events, eggs to candle, and the next rings."""

    expected: Sequence[Expected] = ()
    to_candle: Sequence[Egg] = ()
    rings: Sequence[str] = ()


_NAMES = {Sight.HATCHED: "hatched", Sight.OUT: "out", Sight.WEANED: "weaned"}
_WORDS = {Sight.HATCHED: "hatched", Sight.OUT: "is out of the box", Sight.WEANED: "feeds itself"}
_COUNTS = {Sight.HATCHED: (-1, 1), Sight.OUT: (0, -1), Sight.WEANED: (0, 0)}


class Offering:
    """Makes the parts for one form; ``told`` are the fields as they were sent, if they were."""

    def __init__(
        self,
        nest: Nest,
        offers: Offers,
        told: Mapping[str, str],
        *,
        book: BookSays,
        now: datetime,
        zone: ZoneInfo,
    ) -> None:
        self._offers = offers
        self._told = told
        self._book = book
        self._now = now
        self._zone = zone
        self._guests = {guest.egg.id: guest for guest in nest.guests}

    def part(self) -> ExpectedPart:
        """All that is expected, in the order of a look."""
        found = self._offers.expected
        hide = next((one for one in found if one.sight is Sight.HIDE_IN), None)
        return ExpectedPart(
            taps=(*self._eggs(), *self._fates()),
            rings=tuple(self._rings()),
            candle=self._candle(),
            hide_in=self._tap("hide_in", "A place to hide put in", hide) if hide else None,
        )

    def _eggs(self) -> Iterator[Tap]:
        for one in self._of(Sight.NEW_EGG):
            number = one.egg_number or 1
            yield self._tap(tap_egg(number), f"Egg {number}", one, egg=number, counts=(1, 0))

    def _fates(self) -> Iterator[Tap]:
        for sight, name in _NAMES.items():
            for one in self._of(sight):
                thing = self._thing(one, egg=sight is Sight.HATCHED)
                what = "fate" if one.laid_in is None or sight is Sight.HATCHED else "gone"
                yield self._tap(
                    f"tap.{name}.{thing}",
                    f"{self._title(one, sight)} {_WORDS[sight]}",
                    one,
                    counts=_COUNTS[sight],
                    fate=f"{thing}.{what}",
                )

    def _rings(self) -> Iterator[RingTap]:
        ready = iter(self._offers.rings)
        for one in self._of(Sight.RING):
            thing = self._thing(one, egg=False)
            offered = next(ready, _NO_RING_KNOWN)
            yield RingTap(
                tap=self._tap(f"tap.ring.{thing}", f"{self._title(one, Sight.RING)}, ring on", one),
                field=f"ring.{thing}",
                ring=self._told.get(f"ring.{thing}", offered),
                offered=offered,
            )

    def _candle(self) -> CandlePart | None:
        due = next(iter(self._of(Sight.CANDLE)), None)
        if due is None or not self._offers.to_candle:
            return None
        eggs = []
        for egg in self._offers.to_candle:
            guest = self._guests.get(egg.id)
            field = f"egg.{egg.number}" if guest is None else f"guest.{egg.id}"
            title = f"Egg {egg.number}" if guest is None else _upper(self._book.guest(guest))
            candled = self._told.get(f"{field}.candled", "")
            eggs.append(CandleEgg(field=field, title=title, candled=candled))
        listed = ",".join(egg.field for egg in eggs)
        which = "all" if len(eggs) > 1 else eggs[0].title
        words = f"Held to a light: {which} fertile"
        rest = self._tap(CANDLE, words, due, value=listed)
        return CandlePart(rest=rest, eggs=tuple(eggs))

    def _of(self, sight: Sight) -> list[Expected]:
        return [one for one in self._offers.expected if one.sight is sight]

    def _thing(self, one: Expected, *, egg: bool) -> str:
        if one.laid_in is not None:
            return f"guest.{one.egg_id}"
        return f"{'egg' if egg else 'chick'}.{one.egg_number}"

    def _title(self, one: Expected, sight: Sight) -> str:
        noun = "Egg" if sight is Sight.HATCHED else "Chick"
        told = f"{noun} {one.egg_number}"
        guest = None if one.laid_in is None else self._guests.get(one.egg_id or 0)
        return told if guest is None else f"{told} of {self._book.home(guest)}"

    def _tap(
        self,
        field: str,
        words: str,
        one: Expected,
        *,
        value: str = "yes",
        egg: int = 0,
        counts: tuple[int, int] = (0, 0),
        fate: str = "",
    ) -> Tap:
        return Tap(
            field=field,
            value=value,
            words=words,
            when=self._when(one),
            ticked=bool(self._told.get(field)),
            egg=egg,
            eggs=counts[0],
            chicks=counts[1],
            fate=fate,
        )

    def _when(self, one: Expected) -> str:
        """``today or tomorrow``; ``late, since 19 April``; nothing where nobody can tell."""
        if one.since is None or one.until is None:
            return "any day now"
        today = local_day(self._now, self._zone)
        first, last = local_day(one.since, self._zone), local_day(one.until, self._zone)
        if one.until < self._now:
            return f"late, since {near_day(last, today)}"
        if (last - first).days > 1 and first.month == last.month:
            return f"{first.day} to {day_short(last)}"
        return span_of_days(first, last, today)


def _upper(words: str) -> str:
    return words[:1].upper() + words[1:]
