"""One nest: the picture's lines, the table with the same facts, and the forms' starting values."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.views.channel_view import ChannelView
from dashboards.views.due_words import DUE_WORDS, due_thing
from dashboards.views.local_words import (
    count,
    day_short,
    day_word,
    local_day,
    moment,
    near_day,
    span_of_days,
    start_of_day,
)
from dashboards.views.nest_holds import Holding, holdings, there_in_words
from dashboards.views.pair_history import pair_history
from service.answers.nests import bird_in_words
from service.nests.due import Due, DueKey, DueKind
from service.nests.due_dates import due_dates, next_due
from service.nests.moved_dues import Moved, moved_in_words
from service.nests.nest import Chick, ChickFate, Clutch, Egg, EggFate, Guest, Nest, NestCheck
from service.nests.own_ways import own_ways
from service.nests.sitting import sitting
from service.nests.species import SpeciesSettings
from service.nests.stage import Stage, stage

_ORDINAL = ("first", "second", "third", "fourth", "fifth")
_DRAWN = (DueKind.HATCH, DueKind.RING, DueKind.FLEDGE)


@dataclass(frozen=True, slots=True, kw_only=True)
class DueSpan:
    """A V on an egg's line."""

    kind: DueKind
    since: datetime
    until: datetime
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class EggLine:
    """From ``laid`` on; ``hatched`` where it did, ``ended`` where egg or chick is no more here.

    ``end_words`` says why a line met a stop; empty for a chick that left well. A guest, whose
    ``home`` is another box, begins when it came; an egg that is away ends when it left.
    """

    number: int
    laid: datetime
    hatched: datetime | None
    ended: datetime | None
    end_words: str
    dues: tuple[DueSpan, ...]
    home: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A day on the axis and which day of the clutch it is."""

    at: datetime
    day: str
    count: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NestPicture:
    """What is drawn. ``channel`` is None where no air was measured."""

    now: datetime
    since: datetime
    until: datetime
    eggs: tuple[EggLine, ...]
    sits_from: datetime | None
    sits_until: datetime | None
    sits_words: str
    ticks: tuple[Tick, ...]
    ahead: str
    channel: ChannelView | None
    spoken: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EggRow:
    """A row of the table. ``home`` is the box that a guest was laid in, else empty."""

    number: int
    home: str
    laid: str
    then: str
    next: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DueRow:
    """Something that is due, with the facts it rests on and what moved it last."""

    what: str
    when: str
    why: str
    moved: str
    late: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LookRow:
    """One look into the box."""

    at: str
    found: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NestView:
    """``sits_on`` is the day for the form, as an ISO date; ``sits_told`` whether the keeper
    said so. ``first_day`` and ``last_day`` bound it; all None where no egg was laid.
    """

    box: str
    title: str
    summary: str
    pair: str
    holds: tuple[Holding, ...]
    history: tuple[str, ...]
    rows: tuple[EggRow, ...]
    dues: tuple[DueRow, ...]
    looks: tuple[LookRow, ...]
    picture: NestPicture | None
    sits_on: str | None
    sits_why: str
    sits_told: bool
    first_day: str | None
    last_day: str | None


LONGEST_PICTURE = timedelta(days=200)
"""Twice as long as a clutch takes from its first egg until the last youngster is out."""


def nest_since(nest: Nest, zone: ZoneInfo) -> datetime | None:
    """The start of the first day with an egg, own or guest; None where there never was one."""
    eggs = nest.clutch.eggs if nest.clutch is not None else ()
    if eggs:
        return start_of_day(local_day(eggs[0].laid_from, zone), zone)
    came = [guest.egg.moves[-1].at for guest in nest.guests if guest.egg.moves]
    return start_of_day(local_day(min(came), zone), zone) if came else None


def shown_since(nest: Nest, now: datetime, zone: ZoneInfo) -> datetime | None:
    """Where the picture of the nest and of its air begins: with the first egg, but no further
    back than can be drawn, whatever year stands in the book.
    """
    first = nest_since(nest, zone)
    earliest = start_of_day(local_day(now, zone) - LONGEST_PICTURE, zone)
    return None if first is None else max(first, earliest)


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """What a page knows beyond the nest: names of boxes by id, the pair's clutches, and by
    what each due moved last. ``on_paper``: days are dates, for "today" is soon another day.
    """

    names: Mapping[str, str] = field(default_factory=dict)
    clutches: tuple[Clutch, ...] = ()
    moves: Mapping[DueKey, Moved] = field(default_factory=dict)
    on_paper: bool = False


NOTHING_AROUND = Around()


def nest_view(
    nest: Nest,
    species: SpeciesSettings,
    channel: ChannelView | None,
    now: datetime,
    zone: ZoneInfo,
    *,
    around: Around = NOTHING_AROUND,
) -> NestView:
    """All that the page of one nest says."""
    dues = due_dates(nest, species, now, zone)
    teller = _Teller(nest, species, dues, now, zone, around=around)
    first, shown = nest_since(nest, zone), shown_since(nest, now, zone)
    began = sitting(nest, own_ways(species, nest.before), zone)
    clutch = nest.clutch
    return NestView(
        box=nest.box.id,
        title=teller.title(),
        summary=teller.summary(),
        pair=teller.pair(),
        holds=holdings(nest, dict(around.names), None if around.on_paper else now, zone),
        history=pair_history(around.clutches, now, zone),
        rows=teller.rows(),
        dues=tuple(teller.due_row(due) for due in dues if not teller.is_far_off(due)),
        looks=tuple(teller.look(check) for check in reversed(nest.checks[-12:])),
        picture=teller.picture(shown, channel) if shown else None,
        sits_on=local_day(began.began.since, zone).isoformat() if began else None,
        sits_why=began.why if began else "",
        sits_told=bool(clutch and clutch.sitting_from),
        first_day=local_day(first, zone).isoformat() if first else None,
        last_day=local_day(now, zone).isoformat() if first else None,
    )


class _Teller:
    def __init__(
        self,
        nest: Nest,
        species: SpeciesSettings,
        dues: Sequence[Due],
        now: datetime,
        zone: ZoneInfo,
        *,
        around: Around,
    ) -> None:
        self._around = around
        self._names = dict(around.names)
        self._hatched = _hatched_ids(nest)
        self._nest = nest
        self._species = species
        self._dues = dues
        self._now = now
        self._zone = zone
        self._today = date.min if around.on_paper else local_day(now, zone)
        self._chicks = {c.egg_number: c for c in nest.clutch.chicks} if nest.clutch else {}

    def _day(self, at: datetime) -> date:
        return local_day(at, self._zone)

    def _days(self, since: datetime, until: datetime) -> str:
        return span_of_days(self._day(since), self._day(until), self._today)

    def title(self) -> str:
        clutch = self._nest.clutch
        if clutch is None or not clutch.eggs:
            return self._nest.box.name
        n = clutch.round
        name = _ORDINAL[n - 1] if 1 <= n <= len(_ORDINAL) else f"{n}th"
        return f"{self._nest.box.name}, {name} round"

    def pair(self) -> str:
        pair = self._nest.pair
        if pair is None:
            return ""
        return f"{bird_in_words(pair.cock)} and {bird_in_words(pair.hen)}"

    def summary(self) -> str:
        """What is there, and what comes next, in a sentence or two."""
        now = stage(self._nest, self._now, self._species)
        there = there_in_words(self._nest)
        if now is not Stage.EMPTY:
            told = f"{there or 'Nothing lies there'}, {now.value}."
        else:
            told = f"{there}." if there else "Empty."
        due = next_due(self._dues, self._now)
        if due is not None:
            told += f" Next: {self.due_in_words(due)}."
        return told

    @property
    def _clutch(self) -> Clutch:
        clutch = self._nest.clutch
        if clutch is None:
            raise LookupError(f"{self._nest.box.id} has no clutch")
        return clutch

    def due_in_words(self, due: Due) -> str:
        thing = "" if due.kind is DueKind.NEXT_EGG else due_thing(due, self._names)
        what = f"{thing}, {DUE_WORDS[due.kind]}" if thing else DUE_WORDS[due.kind]
        if due.until < self._now:
            return f"{what}, late since {near_day(self._day(due.until), self._today)}"
        return f"{what} {self._days(due.since, due.until)}"

    def due_row(self, due: Due) -> DueRow:
        thing = due_thing(due, self._names)
        what = f"{DUE_WORDS[due.kind]}, {thing}" if thing else DUE_WORDS[due.kind]
        move = self._around.moves.get(due.key)
        return DueRow(
            what=what,
            when=self._days(due.since, due.until),
            why=due.why,
            moved=moved_in_words(move, due, self._zone) if move is not None else "",
            late=due.until < self._now,
        )

    def is_far_off(self, due: Due) -> bool:
        """What an egg has to come long after it hatches is told once it has."""
        far = (DueKind.INDEPENDENT, DueKind.SPLIT)
        return due.kind in far and due.egg_id not in self._hatched

    def rows(self) -> tuple[EggRow, ...]:
        """The eggs that were laid here, and the guests."""
        own = self._clutch.eggs if self._nest.clutch is not None else ()
        guests = [
            self.row(guest.egg, guest.chick, self._home(guest)) for guest in self._nest.guests
        ]
        return (*(self.row(egg, self._chicks.get(egg.number)) for egg in own), *guests)

    def _home(self, guest: Guest) -> str:
        return self._names.get(guest.clutch.box, guest.clutch.box)

    def row(self, egg: Egg, chick: Chick | None, home: str = "") -> EggRow:
        of_egg = [d for d in self._dues if d.egg_id == egg.id and d.kind in _DRAWN]
        due = next_due(of_egg, self._now)
        return EggRow(
            number=egg.number,
            home=home,
            laid=self._days(egg.laid_from, egg.laid_to),
            then=self._then(egg, chick),
            next="" if due is None else f"{DUE_WORDS[due.kind]} {self._due_when(due)}",
        )

    def _due_when(self, due: Due) -> str:
        days = self._days(due.since, due.until)
        return f"{days}, late" if due.until < self._now else days

    def _then(self, egg: Egg, chick: Chick | None) -> str:
        told = [
            f"moved {near_day(self._day(move.at), self._today)} "
            f"to {self._names.get(move.to_box, move.to_box)}"
            for move in egg.moves
        ]
        if egg.candling is not None and egg.fate is None:
            told.append(f"candled: {egg.candling}")
        if egg.fate is EggFate.HATCHED:
            told.append(f"hatched {self._fate_days(egg)}")
            if chick is not None:
                told += self._chick(chick)
        elif egg.fate is not None:
            told.append(f"lost, {egg.fate}, {self._fate_days(egg)}")
        return "; ".join(told) or "lies there"

    def _fate_days(self, egg: Egg) -> str:
        until = egg.fate_to or self._now
        return self._days(egg.fate_from or until, until)

    def _chick(self, chick: Chick) -> list[str]:
        told = []
        if chick.ring:
            told.append(f"ring {chick.ring}")
        if chick.fate is not None:
            when = near_day(self._day(chick.fate_at), self._today) if chick.fate_at else ""
            told.append(f"{chick.fate} {when}".strip())
        return told

    def look(self, check: NestCheck) -> LookRow:
        return LookRow(
            at=moment(check.at, self._now, self._zone),
            found=f"{count(check.eggs, 'egg')}, {count(check.chicks, 'chick')}, hen {check.hen}",
            note=check.note,
        )

    def picture(self, since: datetime, channel: ChannelView | None) -> NestPicture:
        own = self._clutch.eggs if self._nest.clutch is not None else ()
        lines = (
            *(self._line(egg, self._chicks.get(egg.number)) for egg in own),
            *(self._line(g.egg, g.chick, self._home(g)) for g in self._nest.guests),
        )
        ends = [due.until for one in lines for due in one.dues]
        until = max([*ends, self._now + timedelta(days=3), since + timedelta(days=21)])
        until += timedelta(days=1)
        began = sitting(self._nest, own_ways(self._species, self._nest.before), self._zone)
        hatch_all = bool(own) and all(egg.fate is not None for egg in own)
        over = max((egg.fate_to or self._now for egg in own), default=self._now)
        fledge = [d.until for d in self._dues if d.kind is DueKind.FLEDGE]
        ahead = f"chicks should be out by {day_word(self._day(max(fledge)))}" if fledge else ""
        return NestPicture(
            now=self._now,
            since=since,
            until=until,
            eggs=lines,
            sits_from=began.began.until if began else None,
            sits_until=over if hatch_all else None,
            sits_words=f"hen sits, from {day_word(self._day(began.began.until))}" if began else "",
            ticks=self._ticks(since, until),
            ahead=ahead,
            channel=channel,
            spoken=f"{self.title()}. {self.summary()} The same facts are in the table.",
        )

    def _line(self, egg: Egg, chick: Chick | None, home: str = "") -> EggLine:
        ended, words = None, ""
        if egg.fate is not None and egg.fate is not EggFate.HATCHED:
            ended, words = egg.fate_to, f"lost, {egg.fate}"
        elif chick is not None and chick.fate is not None:
            ended = chick.fate_at
            words = "lost, died" if chick.fate is ChickFate.DIED else chick.fate.value
        left = self._left(egg, home)
        if left is not None:
            ended, words = left
            chick = chick if chick is not None and chick.hatched_to <= ended else None
        kinds = (DueKind.HATCH,) if egg.fate is None else (DueKind.RING, DueKind.FLEDGE)
        dues = tuple(
            DueSpan(
                kind=due.kind,
                since=due.since,
                until=due.until,
                words=f"hatch {'was ' if due.until < self._now else ''}due "
                f"{self._days(due.since, due.until)}"
                if due.kind is DueKind.HATCH
                else "",
            )
            for due in self._dues
            if due.egg_id == egg.id and due.kind in kinds
        )
        came = egg.moves[-1].at if home and egg.moves else egg.laid_to
        return EggLine(
            number=egg.number,
            laid=came,
            home=home,
            hatched=chick.hatched_to if chick and chick.hatched_to >= came else None,
            ended=ended,
            end_words=words,
            dues=dues,
        )

    def _left(self, egg: Egg, home: str) -> tuple[datetime, str] | None:
        """When one of our own went away, and where it is now; None while it is here."""
        if home or not egg.moves or egg.moves[-1].to_box == self._nest.box.id:
            return None
        away = [move for move in egg.moves if move.from_box == self._nest.box.id]
        box = egg.moves[-1].to_box
        return away[-1].at, f"in {self._names.get(box, box)}"

    def _ticks(self, since: datetime, until: datetime) -> tuple[Tick, ...]:
        first, last = self._day(since), self._day(until)
        step = 7 if (last - first).days <= 84 else 14
        return tuple(
            Tick(
                at=start_of_day(first + timedelta(days=n), self._zone),
                day=day_short(first + timedelta(days=n)),
                count=f"day {n}",
            )
            for n in range(0, (last - first).days, step)
        )


def _hatched_ids(nest: Nest) -> frozenset[int]:
    """The ids of eggs that are chicks, those of the round before too."""
    ids = {guest.egg.id for guest in nest.guests if guest.chick is not None}
    for clutch in (nest.clutch, nest.before):
        if clutch is not None:
            ids |= {clutch.eggs[chick.egg_number - 1].id for chick in clutch.chicks}
    return frozenset(ids)


@dataclass(frozen=True, slots=True, kw_only=True)
class NestListRow:
    """One box on the walk."""

    box: str
    name: str
    label: str
    stage: str
    holds: str
    next: str
    late: bool
    today: bool
    kind: DueKind | None


def nest_list(
    nests: Sequence[Nest],
    species: SpeciesSettings,
    labels: dict[str, str],
    now: datetime,
    zone: ZoneInfo,
) -> tuple[NestListRow, ...]:
    """All boxes in walking order."""
    around = Around(names={nest.box.id: nest.box.name for nest in nests})
    rows = []
    for nest in nests:
        dues = due_dates(nest, species, now, zone)
        teller = _Teller(nest, species, dues, now, zone, around=around)
        due = next_due(dues, now)
        rows.append(
            NestListRow(
                box=nest.box.id,
                name=nest.box.name,
                label=labels[nest.box.id],
                stage=stage(nest, now, species).value,
                holds=there_in_words(nest),
                next=teller.due_in_words(due) if due else "",
                late=bool(due and due.until < now),
                today=bool(due and due.since <= now <= due.until),
                kind=due.kind if due else None,
            )
        )
    return tuple(rows)
