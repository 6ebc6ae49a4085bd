"""Seasons that were lived through once, for many tests to look at."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache

from simulated_feeds.birds.aviary import Aviary
from simulated_feeds.birds.pair import PairUp, birds_for, pairs_for
from simulated_feeds.birds.parameters import BirdParameters
from simulated_feeds.birds.truth import ChickTruth, ClutchTruth, EggTruth
from simulated_feeds.day import DAY, AirDay, NestDay
from simulated_feeds.happening import Happening
from simulated_feeds.keeper.look import Look
from simulated_feeds.keeper.parameters import KeeperParameters
from tests.simulated_feeds.birds.invented_air import BOXES, ZONE, steady_air

FIRST_DAY = datetime(2026, 1, 9, tzinfo=UTC)
PUT_UP = date(2026, 1, 10)


@dataclass(frozen=True, kw_only=True)
class Lived:
    """What was the case, and what the keeper saw. ``days`` are kept only where asked for."""

    pairs: tuple[PairUp, ...]
    clutches: tuple[ClutchTruth, ...]
    looks: tuple[Look, ...]
    days: tuple[tuple[NestDay, ...], ...]
    last: datetime

    @property
    def eggs(self) -> list[EggTruth]:
        return [egg for clutch in self.clutches for egg in clutch.eggs]

    @property
    def chicks(self) -> list[ChickTruth]:
        return [egg.chick for egg in self.eggs if egg.chick is not None]


def live(
    pairs: tuple[PairUp, ...],
    days: int,
    *,
    parameters: BirdParameters | None = None,
    seed: int = 3,
    keeper: KeeperParameters | None = None,
    happenings: tuple[Happening, ...] = (),
    air: Callable[[datetime], AirDay] = steady_air,
    keep: bool = False,
    first: datetime = FIRST_DAY,
) -> Lived:
    aviary = Aviary(
        parameters or BirdParameters(),
        pairs,
        seed=seed,
        zone=ZONE,
        happenings=happenings,
        keeper=keeper or KeeperParameters(),
    )
    kept = []
    at = first
    for _ in range(days):
        aviary.plan(at)
        told = aviary.live(air(at))
        if keep:
            kept.append(told)
        at += DAY
    return Lived(
        pairs=pairs,
        clutches=aviary.truths(),
        looks=aviary.looks(),
        days=tuple(kept),
        last=at - timedelta(seconds=1),
    )


@cache
def wide_season() -> Lived:
    """Sixty boxes, first rounds only: enough clutches for means (some 4 s, once)."""
    boxes = [f"box-{n}" for n in range(1, 61)]
    return live(pairs_for(boxes, PUT_UP, seed=3, rounds=1, spread_days=1), 92)


@cache
def minutes() -> Lived:
    """Three boxes through two rounds, all their minutes kept."""
    return live(pairs_for(BOXES[:3], PUT_UP, seed=5), 150, seed=5, keep=True)


@cache
def fostering() -> Lived:
    """Four boxes into the second round, and a keeper who moves eggs where more than five lie,
    and leaves out most mornings (a book that is walked look by look takes its time).
    """
    pairs = pairs_for(BOXES[:4], PUT_UP, seed=11, birds=birds_for(8, 2026), spread_days=1)
    return live(pairs, 94, seed=11, keeper=KeeperParameters(most_eggs=5, misses=0.8))
