"""Who is put up where, and from when to when."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from simulated_feeds.birds.script import Script
from simulated_feeds.chance import draws
from simulated_feeds.impossible import ImpossibleParameterError

VARIETIES = (
    "light green", "sky blue", "opaline grey", "cinnamon green", "spangle cobalt",
    "dominant pied green", "yellow-faced blue", "lutino", "normal grey",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Bird:
    """One of the keeper's own. ``id`` is its number in the book; ``sex`` is cock or hen."""

    id: int
    sex: str
    ring: str
    variety: str
    hatched_on: date
    name: str | None = None
    sire: int | None = None
    dam: int | None = None
    place: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PairUp:
    """A pair in a cage with its box. ``rounds`` is how often it may breed (0: never).

    ``script`` fixes what happens in the first round.
    """

    box: str
    cage: str
    cock: Bird
    hen: Bird
    put_up_on: date
    ended_on: date | None = None
    rounds: int = 2
    script: Script | None = None

    def __post_init__(self) -> None:
        if self.ended_on is not None and self.ended_on < self.put_up_on:
            raise ImpossibleParameterError("ended_on", self.ended_on, f"{self.put_up_on} or later")
        if self.rounds < 0:
            raise ImpossibleParameterError("rounds", self.rounds, "0 or more")


def refuse_impossible_pairs(pairs: Sequence[PairUp]) -> None:
    """No box, and no bird, may have two pairs at a time.

    Raises:
        ImpossibleParameterError: two overlap; one may begin on the day on which another ends.
    """
    last: dict[str, PairUp] = {}
    for up in sorted(pairs, key=lambda one: one.put_up_on):
        for who in (up.box, f"bird {up.cock.id}", f"bird {up.hen.id}"):
            before = last.get(who)
            if before is not None and (before.ended_on is None or before.ended_on > up.put_up_on):
                until = before.ended_on or "for ever"
                raise ImpossibleParameterError(
                    f"put_up_on of {up.box}",
                    up.put_up_on,
                    f"a day on which {who} has no pair (it has one until {until})",
                )
            last[who] = up


def birds_for(count: int, year: int, *, first_id: int = 1) -> tuple[Bird, ...]:
    """Cocks (odd ids) and hens (even ids), two or three years old, each with a ring."""
    return tuple(
        Bird(
            id=number,
            sex="cock" if number % 2 else "hen",
            ring=f"HZ-{(year - 2 - number % 3) % 100:02d}-{10 + 3 * number:03d}",
            variety=VARIETIES[number * 4 % len(VARIETIES)],
            hatched_on=date(year - 2 - number % 3, 3 + number % 5, 1 + number % 28),
        )
        for number in range(first_id, first_id + count)
    )


def pairs_for(
    boxes: Sequence[str],
    put_up_on: date,
    *,
    seed: int,
    ended_on: date | None = None,
    birds: Sequence[Bird] | None = None,
    spread_days: int = 10,
    rounds: int = 2,
) -> tuple[PairUp, ...]:
    """One pair for each box ``box-N``, in cage ``cage-N``, put up within ``spread_days``.

    ``birds`` are cocks and hens by turns, as ``birds_for`` makes them; the same birds in
    another season's call are the same birds again.
    """
    birds = birds or birds_for(2 * len(boxes), put_up_on.year)
    chance = draws(seed, f"pairs {put_up_on.isoformat()}")
    days = chance.integers(0, max(1, spread_days), size=len(boxes))
    return tuple(
        PairUp(
            box=box,
            cage=box.replace("box", "cage"),
            cock=birds[2 * place],
            hen=birds[2 * place + 1],
            put_up_on=date.fromordinal(put_up_on.toordinal() + int(days[place])),
            ended_on=ended_on,
            rounds=rounds,
        )
        for place, box in enumerate(boxes)
    )
