"""The keeper's book, written look by look.

An egg was laid, an egg hatched or was lost between the look before and the look that found it
so; nothing goes into the book that no look saw.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from uuid import NAMESPACE_URL, UUID, uuid5

from simulated_feeds.birds.pair import Bird, PairUp
from simulated_feeds.birds.truth import ClutchTruth, EggTruth, Moved
from simulated_feeds.keeper.look import Look
from simulated_feeds.keeper.open_book import OpenBook, OpenClutch
from simulated_feeds.keeper.rows import (
    BirdRow,
    Book,
    CheckRow,
    ChickRow,
    EggRow,
    MoveRow,
    PairRow,
    SeasonRow,
    WeighingRow,
)
from simulated_feeds.keeper.sentences import changes_of
from simulated_feeds.keeper.values import (
    ChickGone,
    ChickRinged,
    EggCandled,
    EggLost,
    GuestSeen,
    NestCheck,
    Weighed,
)

# Eggs that one look finds together leave each other at least this: common practice, no source.
_LEAST_BETWEEN_EGGS = timedelta(days=1.5)
_WHY_MOVED = "many eggs under one hen, few under the other"


def book_of(
    looks: Sequence[Look],
    pairs: Sequence[PairUp],
    truths: Sequence[ClutchTruth],
    *,
    seed: int,
    birds: Sequence[Bird] = (),
    names: Mapping[str, str] | None = None,
    until: datetime | None = None,
    measures: bool = False,
) -> Book:
    """The book as it stands after all looks up to ``until`` (all of them where it is None).

    Args:
        looks: in time order.
        pairs: as the aviary got them; ``Look.pair`` counts them from 1.
        truths: for the eggs' moves and measures, which the keeper knows too.
        birds: birds besides those of the pairs, such as those that rest.
        names: of boxes, as pages show them; "Box 3" for box-3 where it is None.
        measures: whether length and breadth of eggs were taken.
    """
    writing = _Writing(pairs, truths, seed=seed, names=names, measures=measures)
    for at, _, event in _in_order(looks, truths):
        if until is not None and at > until:
            break
        if isinstance(event, Look):
            writing.look(event)
        else:
            writing.move(*event)
    today = until or (looks[-1].at if looks else None)
    put_up = [up for up in pairs if today is None or up.put_up_on <= today.date()]
    return writing.book(put_up, birds, today)


_Event = Look | tuple[str, Moved]


def _in_order(
    looks: Sequence[Look], truths: Sequence[ClutchTruth]
) -> list[tuple[datetime, tuple[str, str], _Event]]:
    events: list[tuple[datetime, tuple[str, str], _Event]] = [
        (look.at, ("", look.box), look) for look in looks
    ]
    for clutch in truths:
        for egg in clutch.eggs:
            events += [(moved.at, ("move", egg.name), (egg.name, moved)) for moved in egg.moves]
    return sorted(events, key=lambda one: one[:2])


class _Writing:
    """The open book."""

    def __init__(
        self,
        pairs: Sequence[PairUp],
        truths: Sequence[ClutchTruth],
        *,
        seed: int,
        names: Mapping[str, str] | None,
        measures: bool,
    ) -> None:
        self._pairs = pairs
        self._eggs: dict[str, EggTruth] = {egg.name: egg for one in truths for egg in one.eggs}
        self._seed = seed
        self._names = names or {}
        self._measures = measures
        self._open = OpenBook()
        self._moves: list[MoveRow] = []
        self._weighings: list[WeighingRow] = []
        self._checks: list[CheckRow] = []

    def look(self, look: Look) -> None:
        """Write down one look."""
        book = self._open
        clutch = book.of_look(look, look.pair)
        before = book.copy_of(clutch)
        self._find(look, clutch)
        self._fates(look)
        self._chicks(look)
        self._weigh(look)
        if clutch is not None and look.hide_in and clutch.row.hide_in_at is None:
            clutch.row = replace(clutch.row, hide_in_at=look.at)
        closed = book.close(look, clutch)
        guests_home = {
            name: self._name(book.eggs[name].home) for name in self._guests(look, clutch)
        }
        changes = changes_of(look, before, book, clutch, closed=closed, homes=guests_home)
        self._checks.append(
            CheckRow(
                check=len(self._checks) + 1,
                told=self._told(look, clutch),
                pair=look.pair,
                clutch=None if clutch is None else clutch.row.clutch,
                changes=changes,
            )
        )
        book.looked(look)

    def move(self, name: str, moved: Moved) -> None:
        """Write down that an egg was carried."""
        egg = self._open.eggs[name]
        egg.box = moved.to_box
        egg.moved_at = moved.at
        self._moves.append(
            MoveRow(
                move=len(self._moves) + 1,
                egg=egg.row.egg,
                at=moved.at,
                from_box=moved.from_box,
                to_box=moved.to_box,
                why=_WHY_MOVED,
            )
        )

    def book(self, put_up: Sequence[PairUp], birds: Sequence[Bird], today: datetime | None) -> Book:
        """All rows. A look before the first egg belongs to the clutch that came of it."""
        book = self._open
        known = {bird.id: bird for up in put_up for bird in (up.cock, up.hen)}
        known |= {bird.id: bird for bird in birds}
        return Book(
            birds=tuple(_bird(known[number]) for number in sorted(known)),
            seasons=_seasons(put_up),
            pairs=tuple(_pair(number, up, today) for number, up in enumerate(put_up, start=1)),
            clutches=tuple(clutch.row for clutch in book.clutches.values()),
            eggs=tuple(egg.row for egg in book.eggs.values()),
            chicks=tuple(
                sorted(
                    (egg.chick for egg in book.eggs.values() if egg.chick is not None),
                    key=lambda chick: chick.chick,
                )
            ),
            moves=tuple(self._moves),
            weighings=tuple(self._weighings),
            checks=tuple(self._with_clutch(check) for check in self._checks),
            egg_numbers=tuple((name, egg.row.egg) for name, egg in book.eggs.items()),
        )

    def _with_clutch(self, check: CheckRow) -> CheckRow:
        if check.clutch is not None:
            return check
        of_pair = [
            clutch.row.clutch
            for clutch in self._open.clutches.values()
            if (clutch.row.box, clutch.row.pair) == (check.told.box, check.pair)
        ]
        return replace(check, clutch=min(of_pair)) if of_pair else check

    def _name(self, box: str) -> str:
        return self._names.get(box, box.replace("box-", "Box "))

    def _guests(self, look: Look, clutch: OpenClutch | None) -> list[str]:
        """Guests of which something is told, in the order of the book's numbers."""
        told = {
            *look.hatched,
            *look.not_in_sight,
            *(name for name, _ in (*look.lost, *look.candled, *look.ringed, *look.gone)),
        }
        guests = told - _names_of(clutch)
        return sorted(guests, key=lambda name: self._open.eggs[name].row.egg)

    def _told(self, look: Look, clutch: OpenClutch | None) -> NestCheck:
        """The look in the book's own terms."""
        own = _names_of(clutch)

        def numbers(told: Iterable[tuple[str, str]]) -> list[tuple[int, str]]:
            return [(self._number(name), word) for name, word in told if name in own]

        return NestCheck(
            form_id=self._form_id(look),
            box=look.box,
            at=look.at,
            eggs=len(look.lying),
            chicks=len(look.sitting),
            hen=look.hen,
            hatched=tuple(sorted(self._number(name) for name in look.hatched if name in own)),
            lost=tuple(EggLost(number=n, fate=word) for n, word in numbers(look.lost)),
            candled=tuple(EggCandled(number=n, result=w) for n, w in numbers(look.candled)),
            ringed=tuple(ChickRinged(egg_number=n, ring=w) for n, w in numbers(look.ringed)),
            gone=tuple(ChickGone(egg_number=n, fate=w) for n, w in numbers(look.gone)),
            guests=tuple(self._guest(name, look) for name in self._guests(look, clutch)),
            not_in_sight=tuple(
                sorted(self._number(name) for name in look.not_in_sight if name in own)
            ),
            bedding=look.bedding,
            thrown_out=look.thrown_out,
            put_back=look.put_back,
            taken_out=look.taken_out,
            weighed=tuple(
                Weighed(
                    egg_number=self._number(one.egg),
                    mass_g=one.mass_g,
                    egg_id=None if one.egg in own else self._open.eggs[one.egg].row.egg,
                )
                for one in look.weighed
            ),
            hide_in=look.hide_in,
        )

    def _form_id(self, look: Look) -> UUID:
        return uuid5(NAMESPACE_URL, f"clutchweather:{self._seed}:{look.box}:{look.at.isoformat()}")

    def _number(self, name: str) -> int:
        return self._open.eggs[name].row.number

    def _guest(self, name: str, look: Look) -> GuestSeen:
        return GuestSeen(
            egg_id=self._open.eggs[name].row.egg,
            candled=dict(look.candled).get(name),
            lost=dict(look.lost).get(name),
            hatched=name in look.hatched,
            ring=dict(look.ringed).get(name),
            gone=dict(look.gone).get(name),
            not_in_sight=name in look.not_in_sight,
        )

    def _find(self, look: Look, clutch: OpenClutch | None) -> None:
        if clutch is None or not look.found:
            return
        since = self._open.looked_at(look.box)
        if since is None:
            day = self._pairs[look.pair - 1].put_up_on
            since = min(look.at, datetime.combine(day, time(), UTC))
        spans = laid_between(len(look.found), since, look.at)
        for name, (laid_from, laid_to) in zip(look.found, spans, strict=True):
            truth = self._eggs[name]
            row = EggRow(
                egg=len(self._open.eggs) + 1,
                clutch=clutch.row.clutch,
                number=truth.number,
                laid_from=laid_from,
                laid_to=laid_to,
                length_mm=round(truth.length_mm, 1) if self._measures else None,
                breadth_mm=round(truth.breadth_mm, 1) if self._measures else None,
            )
            self._open.add(name, row, look.box)

    def _fates(self, look: Look) -> None:
        for name, result in look.candled:
            egg = self._open.eggs[name]
            egg.row = replace(egg.row, candling=result, candled_at=look.at)
        hatched = sorted(look.hatched, key=lambda name: self._open.eggs[name].row.number)
        for name, fate in (*look.lost, *((name, "hatched") for name in hatched)):
            egg = self._open.eggs[name]
            since = max(
                egg.row.laid_from,
                self._open.looked_at(look.box) or egg.row.laid_from,
                egg.moved_at or egg.row.laid_from,
            )
            egg.row = replace(egg.row, fate=fate, fate_from=since, fate_to=look.at)
            if fate == "hatched":
                egg.chick = ChickRow(
                    chick=self._open.next_chick(),
                    egg=egg.row.egg,
                    hatched_from=since,
                    hatched_to=look.at,
                )

    def _chicks(self, look: Look) -> None:
        for name, ring in look.ringed:
            egg = self._open.eggs[name]
            if egg.chick is not None:
                egg.chick = replace(egg.chick, ring=ring, ringed_at=look.at)
        for name, fate in look.gone:
            egg = self._open.eggs[name]
            if egg.chick is not None:
                egg.chick = replace(egg.chick, fate=fate, fate_at=look.at)

    def _weigh(self, look: Look) -> None:
        for one in look.weighed:
            self._weighings.append(
                WeighingRow(
                    weighing=len(self._weighings) + 1,
                    egg=self._open.eggs[one.egg].row.egg,
                    bird=None,
                    at=look.at,
                    mass_g=one.mass_g,
                )
            )


def _names_of(clutch: OpenClutch | None) -> frozenset[str]:
    """The eggs of the clutch that is on this box's card."""
    return frozenset() if clutch is None else frozenset(egg.name for egg in clutch.eggs)


def laid_between(count: int, since: datetime, until: datetime) -> list[tuple[datetime, datetime]]:
    """Between which instants each of some eggs was laid that one look found, in laying order.

    Each leaves the others a day and a half; where there is less time they share it evenly.
    """
    least = _LEAST_BETWEEN_EGGS
    if since + (count - 1) * least > until:
        parts = [since + place * (until - since) / count for place in range(count + 1)]
        return list(pairwise(parts))
    return [(since + place * least, until - (count - 1 - place) * least) for place in range(count)]


def _bird(bird: Bird) -> BirdRow:
    return BirdRow(
        bird=bird.id,
        ring=bird.ring,
        name=bird.name,
        sex=bird.sex,
        variety=bird.variety,
        hatched_on=bird.hatched_on,
        sire=bird.sire,
        dam=bird.dam,
        place=bird.place,
    )


def _pair(number: int, up: PairUp, today: datetime | None) -> PairRow:
    ended = up.ended_on
    if ended is not None and today is not None and ended > today.date():
        ended = None
    return PairRow(
        pair=number,
        cage=up.cage,
        cock=up.cock.id,
        hen=up.hen.id,
        put_up_on=up.put_up_on,
        ended_on=ended,
    )


def _seasons(put_up: Sequence[PairUp]) -> tuple[SeasonRow, ...]:
    """One for each time after which all pairs had ended; the last one goes on."""
    groups: list[list[PairUp]] = []
    for up in sorted(put_up, key=lambda one: one.put_up_on):
        ends = [one.ended_on for one in groups[-1]] if groups else []
        last = max((end for end in ends if end is not None), default=date.min)
        if groups and (None in ends or up.put_up_on <= last):
            groups[-1].append(up)
        else:
            groups.append([up])
    rows = []
    for number, group in enumerate(groups, start=1):
        began = min(up.put_up_on for up in group)
        ends = [up.ended_on for up in group]
        closed = None
        if number < len(groups):
            closed = max(end for end in ends if end is not None)
        rows.append(
            SeasonRow(season=number, name=str(began.year), began_on=began, closed_on=closed)
        )
    return tuple(rows)
