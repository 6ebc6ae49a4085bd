"""How the keeper of a simulated shed goes about it. Common practice, no source, throughout."""

from dataclasses import dataclass
from datetime import time

from simulated_feeds.impossible import allowed, refuse_impossible


@dataclass(frozen=True, slots=True, kw_only=True)
class KeeperParameters:
    """A look each evening; one each morning too while eggs are laid or hatch.

    ``misses`` is the share of mornings that are left out. ``rings_from_days`` is a chick's age.
    Eggs are candled ``candles_after_days`` after they began to be sat on; what should have hatched
    is taken out ``gives_up_after_days`` after. ``most_eggs`` is how many may lie under one hen
    before one goes to a hen with fewer (0: none is ever moved).
    """

    morning: time = time(7, 15)
    evening: time = time(18, 30)
    minutes_a_box: float = allowed(0.5, 15.0, "min", default=3.0)
    late_by_min: float = allowed(0.0, 60.0, "min", default=0.0)
    misses: float = allowed(0.0, 0.9, default=0.03)
    candles_after_days: float = allowed(4.0, 15.0, "days", default=8.0)
    gives_up_after_days: float = allowed(20.0, 40.0, "days", default=23.0)
    rings_from_days: float = allowed(5.0, 12.0, "days", default=8.0)
    cleans_every_days: float = allowed(2.0, 30.0, "days", default=7.0)
    hides_before_days: float = allowed(1.0, 10.0, "days", default=5.0)
    most_eggs: int = allowed(0, 12, "eggs", default=0)
    measures: bool = False
    weighs: bool = True

    def __post_init__(self) -> None:
        refuse_impossible(self)
