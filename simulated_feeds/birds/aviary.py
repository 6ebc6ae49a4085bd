"""All pairs of the shed, day after day.

``plan`` says what the birds do on a day, ``live`` takes the air of that day and lets it have its
effect. Both must be called once for each day, in order; pairs that were put up before the first
day are lived through from then on, in air as it usually is.
"""

from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime, time
from functools import partial
from zoneinfo import ZoneInfo

import numpy as np

from simulated_feeds.birds.calendar_day import CalendarDay, calendar_day, local_s
from simulated_feeds.birds.conditions import SharedDay, lived, shared_day
from simulated_feeds.birds.evening import end_the_day
from simulated_feeds.birds.fostering import Carry, carries
from simulated_feeds.birds.hatchery import Hatchery
from simulated_feeds.birds.intervals import Intervals, clipped
from simulated_feeds.birds.nominal_air import nominal_air
from simulated_feeds.birds.pair import PairUp, refuse_impossible_pairs
from simulated_feeds.birds.parameters import BirdParameters
from simulated_feeds.birds.states import (
    DAY_S,
    ClutchState,
    EggState,
    NestState,
    PairState,
    seconds,
)
from simulated_feeds.birds.telling import clutch_truth
from simulated_feeds.birds.today import Today
from simulated_feeds.birds.truth import ClutchTruth
from simulated_feeds.birds.water import dryness_pa_days
from simulated_feeds.chance import draws
from simulated_feeds.day import DAY, MINUTES, AirDay, BoxAir, Minutes, NestDay
from simulated_feeds.happening import Happening, What
from simulated_feeds.impossible import ImpossibleParameterError
from simulated_feeds.keeper.at_the_nest import AtTheNest
from simulated_feeds.keeper.look import Look
from simulated_feeds.keeper.parameters import KeeperParameters
from simulated_feeds.keeper.rings import Rings
from simulated_feeds.keeper.visits import evening_of, looks_of_day

_PUT_UP, _NOON, _ENDED = time(10), time(12), time(9)
_LONGEST_BEFORE_DAYS = 400
_SHARES = np.arange(MINUTES + 1) / MINUTES


class Aviary:
    """Boxes are told of in the order of ``boxes``, then of the pairs; those without one stay empty.

    ``keeper`` None: nobody looks, and nothing is ever taken out.
    """

    def __init__(
        self,
        parameters: BirdParameters,
        pairs: Sequence[PairUp],
        *,
        seed: int,
        zone: ZoneInfo,
        happenings: Sequence[Happening] = (),
        keeper: KeeperParameters | None = KeeperParameters(),  # noqa: B008 - it is frozen
        boxes: Sequence[str] = (),
    ) -> None:
        refuse_impossible_pairs(pairs)
        self._p = parameters
        self._seed = seed
        self._zone = zone
        self._happenings = tuple(happenings)
        self._keeper = keeper
        self._hatchery = Hatchery(parameters, seed)
        self._pairs = [self._pair(number, up) for number, up in enumerate(pairs, start=1)]
        names = dict.fromkeys([*boxes, *(up.box for up in pairs)])
        self._nests = {
            box: NestState(box=box, place=place) for place, box in enumerate(names, start=1)
        }
        self._clutches: dict[str, ClutchState] = {}
        self._fostered: list[EggState] = []
        self._looks: list[Look] = []
        self._carries: list[Carry] = []
        self._rings = Rings(boxes=len(self._nests))
        self._todays: dict[str, tuple[Today, NestDay]] = {}
        self._next: datetime | None = None

    def plan(self, at: datetime) -> tuple[NestDay, ...]:
        """What happens in each box on the day that begins at an instant [UTC].

        Raises:
            ValueError: it is not the day after the one before.
            ImpossibleParameterError: a pair was put up more than 400 days before the first day.
        """
        if self._next is None:
            self._live_up_to(at)
        if at != self._next:
            raise ValueError(f"the day from {at} is not the one that follows, from {self._next}")
        return self._plan(at)

    def live(self, air: AirDay) -> tuple[NestDay, ...]:
        """Let the air of the planned day have its effect.

        Returns:
            The days as planned, but for the water that the eggs truly lost (milligrams).
        """
        if air.at != self._next or not self._todays:
            raise ValueError(f"the day from {air.at} was not planned")
        shared = shared_day(air)
        found = tuple(self._live(today, told, shared) for today, told in self._todays.values())
        self._todays = {}
        self._next = air.at + DAY
        if self._keeper is not None:
            self._carries = carries(list(self._nests.values()), self._keeper.most_eggs)
        return found

    def truths(self) -> tuple[ClutchTruth, ...]:
        """All clutches up to the last day, by their names."""
        return tuple(
            clutch_truth(clutch, self._p.bedding)
            for _, clutch in sorted(self._clutches.items(), key=lambda one: _order(one[0]))
        )

    def looks(self) -> tuple[Look, ...]:
        """All looks of the keeper up to the last day, in time order."""
        return tuple(sorted(self._looks, key=lambda look: (look.at, look.box)))

    @property
    def pairs(self) -> tuple[PairUp, ...]:
        """As they were given."""
        return tuple(pair.up for pair in self._pairs)

    # Before the first day.

    def _pair(self, number: int, up: PairUp) -> PairState:
        ended = None if up.ended_on is None else local_s(up.ended_on, _ENDED, self._zone)
        return self._hatchery.pair(number, up, local_s(up.put_up_on, _PUT_UP, self._zone), ended)

    def _live_up_to(self, at: datetime) -> None:
        earliest = min((pair.put_up_s for pair in self._pairs), default=seconds(at))
        days = max(0, -(-(seconds(at) - earliest) // DAY_S))
        if days > _LONGEST_BEFORE_DAYS:
            put_up = min(pair.up.put_up_on for pair in self._pairs)
            raise ImpossibleParameterError(
                "put_up_on", put_up, f"{_LONGEST_BEFORE_DAYS} days before the first day or later"
            )
        self._next = at - days * DAY
        while self._next < at:
            self._plan(self._next)
            self.live(nominal_air(self._next, self._zone))

    # A day.

    def _plan(self, at: datetime) -> tuple[NestDay, ...]:
        if self._todays:
            raise ValueError(f"the day before {at} was planned and not lived")
        day = calendar_day(at, self._zone)
        self._todays = {}
        for nest in self._nests.values():
            self._todays[nest.box] = self._one(nest, day)
        return tuple(told for _, told in self._todays.values())

    def _one(self, nest: NestState, day: CalendarDay) -> tuple[Today, NestDay]:
        chance = draws(self._seed, f"nest {nest.box}", day.at)
        today = Today(
            nest,
            day,
            self._p,
            self._hatchery,
            seed=self._seed,
            chance=chance,
            holds=partial(self._holding, day),
        )
        self._change_pairs(nest, today)
        if nest.pair is None and not today.timeline:
            return today, NestDay(
                at=day.at, box=nest.box, bedding_g=np.full(MINUTES, nest.bedding_g)
            )
        looks: list[tuple[int, Callable[[int], None]]] = []
        if self._keeper is not None:
            looks = [
                (at_s, partial(self._look, today, evening))
                for at_s, evening in looks_of_day(nest, day, self._keeper, chance)
            ]
        today.lay_out(looks)
        self._carry(nest, today)
        self._wean(nest, day)
        today.live_through()
        if nest.clutch is not None:
            self._clutches[nest.clutch.name] = nest.clutch
        self._next_round(nest, day)
        return today, self._told(nest, today)

    def _told(self, nest: NestState, today: Today) -> NestDay:
        pair = nest.pair
        wobble = (today.chance.standard_normal(2) * self._p.masses.day_sd_g).tolist()
        return today.nest_day(
            0.0 if pair is None else pair.hen_g + wobble[0],
            0.0 if pair is None else pair.cock_g + wobble[1],
            nest.pull_pa * _SHARES,
        )

    def _look(self, today: Today, evening: bool, at_s: int) -> None:
        assert self._keeper is not None  # noqa: S101 - nobody looks without one
        look = AtTheNest(
            today,
            at_s,
            evening=evening,
            keeper=self._keeper,
            ring=self._rings.next_for,
            abroad=self._guests_that_hatched,
        ).look()
        if look is not None:
            self._looks.append(look)

    def _guests_that_hatched(self, nest: NestState) -> list[EggState]:
        """Of other pairs' eggs, in the days of the clutch that is on this box's card."""
        clutch = nest.clutch
        since = clutch.eggs[0].laid_s if clutch is not None and clutch.eggs else 0
        return [
            egg
            for egg in self._fostered
            if egg.chick is not None
            and egg.moves[-1][2] == nest.box
            and egg.clutch is not clutch
            and (egg.chick.told is None or (egg.chick.left_s or 0) >= since)
        ]

    def _holding(self, day: CalendarDay, what: What, box: str) -> Intervals:
        spans = [
            (seconds(one.since), seconds(one.until))
            for one in self._happenings
            if one.what is what and one.who in (None, box)
        ]
        return clipped(spans, day.begin_s, day.end_s)

    # Pairs.

    def _change_pairs(self, nest: NestState, today: Today) -> None:
        for pair in self._pairs:
            if pair.up.box != nest.box:
                continue
            if pair.ended_s is not None:
                today.at(pair.ended_s, partial(self._end, nest, today, pair), -2)
            today.at(pair.put_up_s, partial(self._put_up, nest, today, pair), -1)

    def _put_up(self, nest: NestState, today: Today, pair: PairState, at_s: int) -> None:
        """The pair into the cage, bedding into its box."""
        chance = draws(self._seed, f"put up {pair.number}")
        nest.pair, nest.clutch, nest.lay_s, nest.ready = pair, None, None, 0.0
        days = int(chance.poisson(self._p.laying.entry_days)) + 1
        local = datetime.fromtimestamp(pair.put_up_s, UTC).astimezone(self._zone).date()
        noon = local_s(date.fromordinal(local.toordinal() + days), _NOON, self._zone)
        nest.entered_s = noon + int(chance.uniform(-4, 4) * 3600)
        nest.need = self._hatchery.first_egg_days(pair)
        bedding = self._p.bedding
        nest.leaves_g = max(3.0, bedding.left_g + bedding.left_sd_g * float(chance.normal()))
        if pair.script is not None and pair.script.eggs:
            nest.lay_s = seconds(pair.script.eggs[0].laid_at)
            nest.need = max(1.0, (nest.lay_s - nest.entered_s) / DAY_S)
        fill = bedding.fill_g + bedding.fill_sd_g * float(chance.standard_normal())
        today.bedding(at_s, max(0.0, fill))

    def _end(self, nest: NestState, today: Today, pair: PairState, at_s: int) -> None:
        if nest.pair is not pair:
            return
        today.bedding(at_s, -nest.bedding_g)
        nest.pair = nest.lay_s = nest.entered_s = None

    def _next_round(self, nest: NestState, day: CalendarDay) -> None:
        """After a clutch she may begin again."""
        clutch, pair = nest.clutch, nest.pair
        if clutch is None or pair is None or clutch.over_s is None or nest.eggs or nest.chicks:
            return
        if (nest.entered_s or 0) > clutch.entered_s or pair.rounds >= pair.up.rounds:
            return
        nest.entered_s = max(clutch.over_s, day.begin_s) + DAY_S // 2
        nest.ready, nest.lay_s = 0.0, None
        nest.need = self._hatchery.first_egg_days(pair)

    def _carry(self, nest: NestState, today: Today) -> None:
        """Eggs that the keeper takes to another hen this evening."""
        at_s = None if self._keeper is None else evening_of(today.day, self._keeper)
        if at_s is None:
            return
        for carry in self._carries:
            if carry.from_nest is nest:
                today.at(at_s, partial(today.gives, carry.egg, carry.to_nest.box), 10)
                self._fostered.append(carry.egg)
            elif carry.to_nest is nest:
                today.at(at_s, partial(today.takes, carry.egg, carry.from_nest.box), 10)

    def _wean(self, nest: NestState, day: CalendarDay) -> None:
        for clutch in self._clutches.values():
            if clutch.box != nest.box:
                continue
            for egg in clutch.eggs:
                chick = egg.chick
                if chick is not None and chick.left_s is not None and not chick.is_weaned:
                    chick.is_weaned = chick.weaned_s < day.end_s

    # The evening.

    def _live(self, today: Today, told: NestDay, shared: SharedDay) -> NestDay:
        air, nest, ledger = shared.air, today.nest, today.ledger
        own = air.boxes.get(nest.box)
        box_air = (
            BoxAir(temperature_c=air.temperature_c, vapour_pa=air.vapour_pa) if own is None else own
        )
        day = lived(shared, nest.box)
        if not ledger.eggs:
            end_the_day(nest, day, today.day.end_s, self._p, today.chance)
            return told
        dryness = dryness_pa_days(
            box_air,
            today.there.warming,
            today.day.begin_s,
            self._p.sitting.egg_c,
            self._p.water.hen_pa,
        )
        told = today.with_dryness(told, dryness)
        self._dry(today, dryness)
        end_the_day(nest, day, today.day.end_s, self._p, today.chance)
        return told

    def _dry(self, today: Today, dryness: Minutes) -> None:
        for egg, span in today.ledger.eggs.items():
            since, until = today.minutes_of(span)
            egg.mass_g -= egg.conductance * float(dryness[until] - dryness[since])
        today.nest.pull_pa = float(dryness[-1])


def _order(name: str) -> tuple[int, ...]:
    return tuple(int(part) for part in name.split("."))
