"""How a season went: counts, shares, dates and losses of clutches. Pure.

Eggs and chicks count for the pair that laid them, wherever they were hatched and reared. A share
is taken of those whose answer is known; an egg that still lies, a chick still in the box and one
that went elsewhere say nothing yet.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

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
    """``season`` is None for pairs that were put up before every season that was told.

    ``pairs`` in the order in which they were put up, those without an egg among them.
    """

    season: Season | None
    pairs: tuple[PairSum, ...]
    all: Sum


def season_sums(
    seasons: Sequence[Season], pairs: Sequence[Pair], clutches: Sequence[Clutch]
) -> tuple[SeasonSum, ...]:
    """Every season that was told, newest first; then the pairs of none, if there are any."""
    by_pair: dict[int, list[Clutch]] = {pair.id: [] for pair in pairs}
    for clutch in clutches:
        by_pair.setdefault(clutch.pair_id, []).append(clutch)
    told = sorted(seasons, key=lambda season: (season.began_on, season.id), reverse=True)
    sums = []
    for season in (*told, None):
        of_it = [pair for pair in pairs if season_of(pair.put_up_on, seasons) == season]
        if season is None and not of_it:
            continue
        of_it.sort(key=lambda pair: (pair.put_up_on, pair.id))
        found = tuple(PairSum(pair=pair, sum=sum_of(by_pair[pair.id])) for pair in of_it)
        together = sum_of(clutch for pair in of_it for clutch in by_pair[pair.id])
        sums.append(SeasonSum(season=season, pairs=found, all=together))
    return tuple(sums)


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
