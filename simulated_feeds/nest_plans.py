"""What truly happens in the nine boxes, in whole days around the present.

Days count from the present's local date: -1 is yesterday. The shape is common practice (no
source): an egg every second day, sitting from the second egg, about 18 days to the hatch of
each egg after that, rings at eight days.
"""

from dataclasses import dataclass

HATCH_DAYS = 18
RING_DAYS = 8
BOXES = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class EggPlan:
    """``hatched`` is None for an egg that lies there still or was ``lost`` (day, fate)."""

    number: int
    laid: int
    hatched: int | None = None
    lost: tuple[int, str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NestPlan:
    """One pair's nest. ``candled`` gives, for a day, the result for each egg by number."""

    number: int
    put_up: int
    eggs: tuple[EggPlan, ...] = ()
    candled: tuple[tuple[int, tuple[tuple[int, str], ...]], ...] = ()

    @property
    def box(self) -> str:
        return f"box-{self.number}"

    @property
    def sitting_from(self) -> int | None:
        """The day of the second egg; None as long as there is none."""
        return self.eggs[1].laid if len(self.eggs) > 1 else None


_ALL_FERTILE = tuple((number, "fertile") for number in (1, 2, 3))

PLANS = (
    # Four ringed chicks about three weeks old.
    NestPlan(
        number=1,
        put_up=-53,
        eggs=(
            EggPlan(number=1, laid=-43, hatched=-23),
            EggPlan(number=2, laid=-41, hatched=-23),
            EggPlan(number=3, laid=-39, hatched=-21),
            EggPlan(number=4, laid=-37, lost=(-28, "clear")),
            EggPlan(number=5, laid=-35, hatched=-17),
        ),
        candled=(
            (-33, (*_ALL_FERTILE, (4, "unsure"), (5, "unsure"))),
            (-28, ((4, "clear"), (5, "fertile"))),
        ),
    ),
    # The first eggs may hatch from tomorrow.
    NestPlan(
        number=2,
        put_up=-28,
        eggs=(
            EggPlan(number=1, laid=-18),
            EggPlan(number=2, laid=-16),
            EggPlan(number=3, laid=-14),
            EggPlan(number=4, laid=-12, lost=(-4, "clear")),
            EggPlan(number=5, laid=-10),
        ),
        candled=(
            (-8, (*_ALL_FERTILE, (4, "unsure"), (5, "unsure"))),
            (-4, ((4, "clear"), (5, "fertile"))),
        ),
    ),
    # Laying: the third egg is due.
    NestPlan(number=3, put_up=-14, eggs=(EggPlan(number=1, laid=-4), EggPlan(number=2, laid=-2))),
    # Two chicks, two eggs still to hatch.
    NestPlan(
        number=4,
        put_up=-34,
        eggs=(
            EggPlan(number=1, laid=-23, lost=(-10, "broken")),
            EggPlan(number=2, laid=-21, hatched=-3),
            EggPlan(number=3, laid=-19, hatched=-1),
            EggPlan(number=4, laid=-17),
            EggPlan(number=5, laid=-15),
        ),
        candled=(
            (-13, (*_ALL_FERTILE, (4, "unsure"), (5, "unsure"))),
            (-8, ((4, "fertile"), (5, "fertile"))),
        ),
    ),
    # Just put up; boxes 6 to 9 stand empty.
    NestPlan(number=5, put_up=-3),
)
