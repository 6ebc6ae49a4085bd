"""One nest: the picture's lines, the table with the same facts, and the forms' starting values."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.views.channel_view import ChannelView
from dashboards.views.due_words import DUE_WORDS
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
from service.answers.nests import bird_in_words
from service.nests.due import Due, DueKind
from service.nests.due_dates import due_dates, next_due
from service.nests.nest import Chick, ChickFate, Clutch, Egg, EggFate, Nest, NestCheck
from service.nests.sitting import sitting
from service.nests.species import SpeciesSettings
from service.nests.stage import Stage, counts, stage

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

    ``end_words`` says why a line met a stop; empty for a chick that left well.
    """

    number: int
    laid: datetime
    hatched: datetime | None
    ended: datetime | None
    end_words: str
    dues: tuple[DueSpan, ...]


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
    """A row of the table."""

    number: int
    laid: str
    then: str
    next: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DueRow:
    """Something that is due, with the facts it rests on."""

    what: str
    when: str
    why: str
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
    rows: tuple[EggRow, ...]
    dues: tuple[DueRow, ...]
    looks: tuple[LookRow, ...]
    picture: NestPicture | None
    sits_on: str | None
    sits_why: str
    sits_told: bool
    first_day: str | None
    last_day: str | None


def nest_since(nest: Nest, zone: ZoneInfo) -> datetime | None:
    """The start of the clutch's first day; None where no egg was laid."""
    if nest.clutch is None or not nest.clutch.eggs:
        return None
    return start_of_day(local_day(nest.clutch.eggs[0].laid_from, zone), zone)


def nest_view(
    nest: Nest, species: SpeciesSettings, channel: ChannelView | None, now: datetime, zone: ZoneInfo
) -> NestView:
    """All that the page of one nest says."""
    dues = due_dates(nest, species, now, zone)
    teller = _Teller(nest, species, dues, now, zone)
    first = nest_since(nest, zone)
    began = sitting(nest, species, zone)
    clutch = nest.clutch
    return NestView(
        box=nest.box.id,
        title=teller.title(),
        summary=teller.summary(),
        pair=teller.pair(),
        rows=tuple(teller.row(egg) for egg in clutch.eggs) if clutch else (),
        dues=tuple(teller.due_row(due) for due in dues),
        looks=tuple(teller.look(check) for check in reversed(nest.checks[-12:])),
        picture=teller.picture(first, channel) if first else None,
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
    ) -> None:
        self._nest = nest
        self._species = species
        self._dues = dues
        self._now = now
        self._zone = zone
        self._today = local_day(now, zone)
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
        found = counts(self._nest)
        now = stage(self._nest, self._now, self._species)
        lying = found.eggs and sum(egg.fate is None for egg in self._clutch.eggs)
        parts = []
        if found.chicks:
            parts.append(count(found.chicks, "chick"))
        if lying:
            parts.append(count(int(lying), "egg"))
        there = " and ".join(parts) if parts else "Nothing lies there"
        told = f"{there}, {now.value}." if now is not Stage.EMPTY else "Empty."
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
        what = DUE_WORDS[due.kind]
        if due.egg_number is not None and due.kind is not DueKind.NEXT_EGG:
            thing = "egg" if due.kind is DueKind.HATCH else "chick"
            what = f"{thing} {due.egg_number}, {what}"
        if due.until < self._now:
            return f"{what}, late since {near_day(self._day(due.until), self._today)}"
        return f"{what} {self._days(due.since, due.until)}"

    def due_row(self, due: Due) -> DueRow:
        what = DUE_WORDS[due.kind]
        if due.egg_number is not None:
            thing = "egg" if due.kind in (DueKind.HATCH, DueKind.NEXT_EGG) else "chick"
            what = f"{what}, {thing} {due.egg_number}"
        return DueRow(
            what=what,
            when=self._days(due.since, due.until),
            why=due.why,
            late=due.until < self._now,
        )

    def row(self, egg: Egg) -> EggRow:
        of_egg = [d for d in self._dues if d.egg_number == egg.number and d.kind in _DRAWN]
        of_egg = [d for d in of_egg if d.kind is not DueKind.NEXT_EGG]
        due = next_due(of_egg, self._now)
        return EggRow(
            number=egg.number,
            laid=self._days(egg.laid_from, egg.laid_to),
            then=self._then(egg),
            next="" if due is None else f"{DUE_WORDS[due.kind]} {self._due_when(due)}",
        )

    def _due_when(self, due: Due) -> str:
        days = self._days(due.since, due.until)
        return f"{days}, late" if due.until < self._now else days

    def _then(self, egg: Egg) -> str:
        told = []
        if egg.candling is not None and egg.fate is None:
            told.append(f"candled: {egg.candling}")
        if egg.fate is EggFate.HATCHED:
            told.append(f"hatched {self._fate_days(egg)}")
            chick = self._chicks.get(egg.number)
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
        lines = tuple(self._line(egg) for egg in self._clutch.eggs)
        ends = [due.until for one in lines for due in one.dues]
        until = max([*ends, self._now + timedelta(days=3), since + timedelta(days=21)])
        until += timedelta(days=1)
        began = sitting(self._nest, self._species, self._zone)
        hatch_all = all(egg.fate is not None for egg in self._clutch.eggs)
        over = max((e.fate_to or self._now for e in self._clutch.eggs), default=self._now)
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

    def _line(self, egg: Egg) -> EggLine:
        chick = self._chicks.get(egg.number)
        ended, words = None, ""
        if egg.fate is not None and egg.fate is not EggFate.HATCHED:
            ended, words = egg.fate_to, f"lost, {egg.fate}"
        elif chick is not None and chick.fate is not None:
            ended = chick.fate_at
            words = "lost, died" if chick.fate is ChickFate.DIED else chick.fate.value
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
            if due.egg_number == egg.number and due.kind in kinds
        )
        return EggLine(
            number=egg.number,
            laid=egg.laid_to,
            hatched=chick.hatched_to if chick else None,
            ended=ended,
            end_words=words,
            dues=dues,
        )

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
    rows = []
    for nest in nests:
        dues = due_dates(nest, species, now, zone)
        teller = _Teller(nest, species, dues, now, zone)
        due = next_due(dues, now)
        found = counts(nest)
        lying = sum(e.fate is None for e in nest.clutch.eggs) if nest.clutch else 0
        holds = [count(lying, "egg")] if lying else []
        holds += [count(found.chicks, "chick")] if found.chicks else []
        rows.append(
            NestListRow(
                box=nest.box.id,
                name=nest.box.name,
                label=labels[nest.box.id],
                stage=stage(nest, now, species).value,
                holds=", ".join(holds),
                next=teller.due_in_words(due) if due else "",
                late=bool(due and due.until < now),
                today=bool(due and due.since <= now <= due.until),
                kind=due.kind if due else None,
            )
        )
    return tuple(rows)
