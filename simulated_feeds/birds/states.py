"""What the aviary keeps of pairs, clutches, eggs and chicks from one day to the next.

These change as days pass; instants are whole seconds since 1970 in UTC. What the keeper knows
of an egg or chick stands beside what is true of it, in fields that say so.
"""

from dataclasses import dataclass, field
from datetime import UTC, datetime

from simulated_feeds.birds.conditions import Condition, Gathered, Lived
from simulated_feeds.birds.growth import GrowthCurve
from simulated_feeds.birds.pair import PairUp
from simulated_feeds.birds.script import Script, ScriptedEgg

DAY_S = 86400


def instant(seconds: int) -> datetime:
    """As an aware time."""
    return datetime.fromtimestamp(seconds, UTC)


def seconds(at: datetime) -> int:
    """As whole seconds."""
    return int(at.timestamp())


@dataclass(slots=True, kw_only=True, eq=False)
class ChickState:
    """``told`` is the fate that the keeper knows of, ``seen_s`` the first look that saw it."""

    hatched_s: int
    rank: int
    curve: GrowthCurve
    threshold: float
    leaves_s: int
    weaned_s: int
    early: bool
    dies_s: int | None = None
    died_s: int | None = None
    left_s: int | None = None
    is_weaned: bool = False
    rearing: Gathered = field(default_factory=Gathered)
    chance: float = 1.0
    masses: list[tuple[float, float]] = field(default_factory=list)
    seen_s: int | None = None
    ring: str | None = None
    weighed: int = 0
    told: str | None = None

    def mass_at(self, at_s: int) -> float:
        """Its mass [g]; after its death as at its death."""
        until = at_s if self.died_s is None else min(at_s, self.died_s)
        return self.curve.mass_at((until - self.hatched_s) / DAY_S)


@dataclass(slots=True, kw_only=True, eq=False)
class EggState:
    """``needs_s`` is how long it must be warm to hatch, ``warm_s`` how long it was.

    ``found_s``, ``candling``, ``candled`` (times) and ``unseen`` (looks in a row) are the
    keeper's.
    """

    name: str
    clutch: "ClutchState"
    number: int
    laid_s: int
    length_mm: float
    breadth_mm: float
    fresh_g: float
    mass_g: float
    conductance: float
    fertile: bool
    fertile_chance: float
    threshold: float
    needs_s: float
    scripted: ScriptedEgg | None = None
    grew_s: int | None = None
    warm_s: float = 0.0
    chilled_s: float = 0.0
    sat_on: Gathered = field(default_factory=Gathered)
    first_six: Gathered = field(default_factory=Gathered)
    chance: float = 1.0
    died_s: int | None = None
    fate: str | None = None
    ended_s: int | None = None
    moves: list[tuple[int, str, str]] = field(default_factory=list)
    laying_conditions: dict[Condition, float] = field(default_factory=dict)
    chick: ChickState | None = None
    hidden: bool = False
    found_s: int | None = None
    candling: str | None = None
    candled: int = 0
    unseen: int = 0

    @property
    def progress(self) -> float:
        """From 0 to 1: how far the embryo is, or would be."""
        return min(1.0, self.warm_s / self.needs_s)

    @property
    def lives(self) -> bool:
        """Whether an embryo grows, or will grow, in it."""
        return self.fertile and self.died_s is None and self.fate is None


@dataclass(slots=True, kw_only=True, eq=False)
class PairState:
    """``number`` counts pairs from 1 as they were given."""

    number: int
    up: PairUp
    put_up_s: int
    ended_s: int | None
    hen_g: float
    cock_g: float
    hen_effect: float
    cock_effect: float
    lazy: bool
    script: Script | None = None
    rounds: int = 0


@dataclass(slots=True, kw_only=True, eq=False)
class ClutchState:
    """One sitting. ``sitting_seen_s`` and ``over_s`` are the keeper's."""

    name: str
    box: str
    pair: PairState
    round: int
    entered_s: int
    size: int
    sits_with: int
    effect: float
    bedding_left_g: float = 0.0
    eggs: list[EggState] = field(default_factory=list)
    sitting_s: int | None = None
    sitting_seen_s: int | None = None
    over_s: int | None = None
    hide_in: bool = False


@dataclass(slots=True, kw_only=True, eq=False)
class NestState:
    """One box. ``entered_s`` is when the hen enters it for the coming round.

    ``eggs`` lie there, ``chicks`` are the eggs whose chicks sit there (dead ones too, until they
    are taken out); guests are among both. ``ready`` runs up to ``need`` [days], then the first egg
    is laid; ``lay_s`` is the next egg's instant. ``light_h``, ``day_c`` and ``pull_pa`` (what drew
    water out of the eggs) are of the day before. From ``looked_s`` on: what the keeper knows.
    """

    box: str
    place: int
    pair: PairState | None = None
    clutch: ClutchState | None = None
    entered_s: int | None = None
    ready: float = 0.0
    need: float = 0.0
    lay_s: int | None = None
    eggs: list[EggState] = field(default_factory=list)
    chicks: list[EggState] = field(default_factory=list)
    bedding_g: float = 0.0
    leaves_g: float = 0.0
    droppings_g: float = 0.0
    clutches: int = 0
    light_h: float = 14.0
    day_c: float = 15.0
    pull_pa: float = 3000.0
    last_days: list[Lived] = field(default_factory=list)
    looked_s: int | None = None
    thrown_g: float = 0.0
    bedding_told: str | None = None
    cleaned_s: int = 0
    unknown_losses: list[tuple[EggState, str]] = field(default_factory=list)

    def days_to_first_egg(self, at_s: int) -> float:
        """Until the first egg of the round, as the hen's body knows it."""
        return self.need - self.ready if self.lay_s is None else (self.lay_s - at_s) / DAY_S

    def youngest_days(self, at_s: int) -> float | None:
        """Age of the youngest living chick; None without one."""
        ages = [
            at_s - egg.chick.hatched_s
            for egg in self.chicks
            if egg.chick is not None and egg.chick.died_s is None
        ]
        return min(ages) / DAY_S if ages else None
