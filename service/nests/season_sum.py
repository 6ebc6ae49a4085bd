"""How a season went: counts, shares, dates and losses of clutches. Pure.

Eggs and chicks count for the pair that laid them, wherever they were hatched and reared. A share
is taken of those whose answer is known; an egg that still lies, a chick still in the box and one
that went elsewhere say nothing yet.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from service.nests.fertility import fertility
from service.nests.nest import Chick, ChickFate, Clutch, EggFate, Pair
from service.nests.season import Season, season_of
from service.nests.share import Share
from service.nests.span import Span

LOSSES: tuple[EggFate | ChickFate, ...] = (
    EggFate.CLEAR,
    EggFate.ADDLED,
    EggFate.DEAD_IN_SHELL,
    EggFate.BROKEN,
    EggFate.MISSING,
    ChickFate.DIED,
)
_FLEDGED = (ChickFate.FLEDGED, ChickFate.WEANED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """``lying`` are eggs without a fate, ``in_box`` chicks without one. ``losses`` are in the
    order of ``LOSSES``, those that happened. Times are None where nothing of the kind was seen.
    """

    clutches: int
    eggs: int
    hatched: int
    fledged: int
    lying: int
    in_box: int
    moved: int
    fertile_share: Share
    hatched_share: Share
    fledged_share: Share
    losses: tuple[tuple[EggFate | ChickFate, int], ...]
    first_egg: Span | None
    last_egg: Span | None
    first_hatch: Span | None
    last_out: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PairSum:
    """What one pair did within a season."""

    pair: Pair
    sum: Sum


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonSum:
    """``season`` is None for what was before every season that was told.

    A clutch belongs to the season in which its first egg was found; a pair that never laid, to
    the one in which it was put up. ``pairs`` in the order in which they were put up.
    """

    season: Season | None
    pairs: tuple[PairSum, ...]
    all: Sum


def season_sums(
    seasons: Sequence[Season], pairs: Sequence[Pair], clutches: Sequence[Clutch]
) -> tuple[SeasonSum, ...]:
    """Every season that was told, newest first; then what was before all, if there is any."""
    known = {pair.id: pair for pair in pairs}
    laid = [
        (season_of(_began(clutch, known[clutch.pair_id]), seasons), clutch)
        for clutch in clutches
        if clutch.pair_id in known
    ]
    bred = {clutch.pair_id for _, clutch in laid}
    told = sorted(seasons, key=lambda season: (season.began_on, season.id), reverse=True)
    sums = []
    for season in (*told, None):
        by_pair: dict[int, list[Clutch]] = {
            pair.id: []
            for pair in pairs
            if pair.id not in bred and season_of(pair.put_up_on, seasons) == season
        }
        for of, clutch in laid:
            if of == season:
                by_pair.setdefault(clutch.pair_id, []).append(clutch)
        if season is None and not by_pair:
            continue
        of_it = sorted(by_pair, key=lambda pair_id: (known[pair_id].put_up_on, pair_id))
        found = tuple(PairSum(pair=known[one], sum=sum_of(by_pair[one])) for one in of_it)
        together = sum_of(clutch for one in of_it for clutch in by_pair[one])
        sums.append(SeasonSum(season=season, pairs=found, all=together))
    return tuple(sums)


def _began(clutch: Clutch, pair: Pair) -> date:
    """A pair may stay together for more than one season: its clutch tells which it was."""
    return clutch.eggs[0].laid_to.date() if clutch.eggs else pair.put_up_on


def earlier(sums: Sequence[SeasonSum], than: SeasonSum) -> tuple[SeasonSum, ...]:
    """The seasons before one, newest first; pairs of no season count as before all."""
    place = next(n for n, one in enumerate(sums) if one is than)
    return tuple(sums[place + 1 :])


def pooled(shares: Iterable[Share]) -> Share:
    """Several seasons as one: their eggs counted together."""
    told = list(shares)
    return Share(count=sum(one.count for one in told), of=sum(one.of for one in told))


def sum_of(clutches: Iterable[Clutch]) -> Sum:
    """Clutches counted together; nought of everything without any."""
    told = [clutch for clutch in clutches if clutch.eggs]
    eggs = [egg for clutch in told for egg in clutch.eggs]
    chicks = [chick for clutch in told for chick in clutch.chicks]
    fates = Counter(egg.fate for egg in eggs)
    ends = Counter(chick.fate for chick in chicks)
    fertile = Counter(fertility(egg) for egg in eggs)
    fledged = sum(ends[fate] for fate in _FLEDGED)
    known_eggs = len(eggs) - fates[None]
    return Sum(
        clutches=len(told),
        eggs=len(eggs),
        hatched=fates[EggFate.HATCHED],
        fledged=fledged,
        lying=fates[None],
        in_box=ends[None],
        moved=ends[ChickFate.MOVED],
        fertile_share=Share(count=fertile[True], of=fertile[True] + fertile[False]),
        hatched_share=Share(count=fates[EggFate.HATCHED], of=known_eggs),
        fledged_share=Share(count=fledged, of=fledged + ends[ChickFate.DIED]),
        losses=tuple(
            (fate, number)
            for fate in LOSSES
            if (number := fates[fate] if isinstance(fate, EggFate) else ends[fate])
        ),
        first_egg=_first(Span(since=egg.laid_from, until=egg.laid_to) for egg in eggs),
        last_egg=_last(Span(since=egg.laid_from, until=egg.laid_to) for egg in eggs),
        first_hatch=_first(_hatched(chick) for chick in chicks),
        last_out=max(
            (chick.fate_at for chick in chicks if chick.fate in _FLEDGED and chick.fate_at),
            default=None,
        ),
    )


def _hatched(chick: Chick) -> Span:
    return Span(since=chick.hatched_from, until=chick.hatched_to)


def _first(spans: Iterable[Span]) -> Span | None:
    return min(spans, key=lambda span: (span.until, span.since), default=None)


def _last(spans: Iterable[Span]) -> Span | None:
    return max(spans, key=lambda span: (span.until, span.since), default=None)
