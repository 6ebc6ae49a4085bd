"""Five nests around a present: what is to be found in them is fixed, the rest goes its own way.

Days count from the present's local date: -1 is yesterday. The shape is common practice (no
source): an egg every second day, sitting from the second egg, about 18 days to the hatch of
each egg after that.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from simulated_feeds.birds.pair import Bird, PairUp, birds_for
from simulated_feeds.birds.script import Script, ScriptedEgg
from simulated_feeds.chance import draws

_RESTING_BIRDS = 8
_LAID_ABOUT, _HATCHED_ABOUT = time(13), time(12)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Egg:
    """``hatched`` is None for an egg that lies there still or was ``lost`` (day, fate)."""

    laid: int
    hatched: int | None = None
    lost: tuple[int, str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Nest:
    """``candled`` gives, for a day, the result for each egg by number."""

    number: int
    put_up: int
    eggs: tuple[_Egg, ...] = ()
    candled: tuple[tuple[int, tuple[tuple[int, str], ...]], ...] = ()
    is_whole: bool = True


_ALL_FERTILE = tuple((number, "fertile") for number in (1, 2, 3))
_TWO_UNSURE = (*_ALL_FERTILE, (4, "unsure"), (5, "unsure"))

_NESTS = (
    # Four ringed chicks about three weeks old.
    _Nest(
        number=1,
        put_up=-53,
        eggs=(
            _Egg(laid=-43, hatched=-23),
            _Egg(laid=-41, hatched=-23),
            _Egg(laid=-39, hatched=-21),
            _Egg(laid=-37, lost=(-28, "clear")),
            _Egg(laid=-35, hatched=-17),
        ),
        candled=((-33, _TWO_UNSURE), (-28, ((4, "clear"), (5, "fertile")))),
    ),
    # The first eggs may hatch from tomorrow.
    _Nest(
        number=2,
        put_up=-28,
        eggs=(
            _Egg(laid=-18),
            _Egg(laid=-16),
            _Egg(laid=-14),
            _Egg(laid=-12, lost=(-4, "clear")),
            _Egg(laid=-10),
        ),
        candled=((-8, _TWO_UNSURE), (-4, ((4, "clear"), (5, "fertile")))),
    ),
    # Laying: the third egg is due.
    _Nest(number=3, put_up=-14, eggs=(_Egg(laid=-4), _Egg(laid=-2)), is_whole=False),
    # Two chicks, two eggs still to hatch.
    _Nest(
        number=4,
        put_up=-34,
        eggs=(
            _Egg(laid=-23, lost=(-10, "broken")),
            _Egg(laid=-21, hatched=-3),
            _Egg(laid=-19, hatched=-1),
            _Egg(laid=-17),
            _Egg(laid=-15),
        ),
        candled=((-13, _TWO_UNSURE), (-8, ((4, "fertile"), (5, "fertile")))),
    ),
    # Just put up; boxes 6 to 9 stand empty.
    _Nest(number=5, put_up=-3, is_whole=False),
)


def present_birds(present: datetime, zone: ZoneInfo) -> tuple[Bird, ...]:
    """A cock and a hen for each pair, then those that rest in the flight."""
    return birds_for(2 * len(_NESTS) + _RESTING_BIRDS, _today(present, zone).year)


def present_pairs(
    present: datetime, zone: ZoneInfo, *, seed: int, birds: Sequence[Bird] | None = None
) -> tuple[PairUp, ...]:
    """The pairs of boxes 1 to 5 such that at ``present`` [UTC] all is as promised.

    Box 1 has four ringed chicks about three weeks old, box 2 may hatch from tomorrow, box 3
    waits for its third egg, box 4 has two chicks and two eggs, the pair of cage 5 was put up
    three days ago.
    """
    birds = birds or present_birds(present, zone)
    return tuple(
        PairUp(
            box=f"box-{nest.number}",
            cage=f"cage-{nest.number}",
            cock=birds[2 * place],
            hen=birds[2 * place + 1],
            put_up_on=_today(present, zone) + timedelta(days=nest.put_up),
            script=_script(nest, present, zone, seed),
        )
        for place, nest in enumerate(_NESTS)
    )


def _today(present: datetime, zone: ZoneInfo) -> date:
    return present.astimezone(zone).date()


def _script(nest: _Nest, present: datetime, zone: ZoneInfo, seed: int) -> Script:
    today = _today(present, zone)
    shifts = draws(seed, f"script box-{nest.number}").uniform(-2, 2, size=(2, 12)).tolist()

    def moment(number: int, day: int, about: time, shift: list[float]) -> datetime:
        """Within two hours of an hour, between the two looks of a day."""
        noon = datetime.combine(today + timedelta(days=day), about, zone).astimezone(UTC)
        found = noon + timedelta(hours=shift[number])
        return found.replace(microsecond=0)

    return Script(
        eggs=tuple(
            ScriptedEgg(
                laid_at=moment(number, egg.laid, _LAID_ABOUT, shifts[0]),
                hatched_at=None
                if egg.hatched is None
                else moment(number, egg.hatched, _HATCHED_ABOUT, shifts[1]),
                lost=None
                if egg.lost is None
                else (today + timedelta(days=egg.lost[0]), egg.lost[1]),
            )
            for number, egg in enumerate(nest.eggs)
        ),
        candled=tuple((today + timedelta(days=day), results) for day, results in nest.candled),
        is_whole=nest.is_whole,
        until=present,
    )
