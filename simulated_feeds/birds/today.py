"""One day of one nest: who is in the box when, and what happens there, in its order.

The day is laid out in the morning from what was known the evening before; then its events are
gone through in time order, the keeper's looks among them, and change the nest. The air of the
day decides nothing until its end (``evening``).
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import time
from functools import partial

import numpy as np
from numpy.random import Generator

from simulated_feeds.birds.calendar_day import CalendarDay
from simulated_feeds.birds.conditions import Gathered
from simulated_feeds.birds.evening import final_risk
from simulated_feeds.birds.hatchery import Hatchery, next_lay_s
from simulated_feeds.birds.intervals import (
    Intervals,
    after_seconds,
    clipped,
    length_s,
    within,
)
from simulated_feeds.birds.ledger import Ledger
from simulated_feeds.birds.parameters import BirdParameters
from simulated_feeds.birds.phases import Phase, Stretch, stretches
from simulated_feeds.birds.presence import Presence, presence
from simulated_feeds.birds.states import DAY_S, ClutchState, EggState, NestState, instant
from simulated_feeds.birds.water import minute
from simulated_feeds.day import Event, Handling, Kind, Minutes, NestDay, Stay, Who
from simulated_feeds.happening import What

_LAST_EGG_BEFORE_THE_END = 75 * DAY_S
_AFTERNOON = time(15)
_LAZY_THROW_G, _NOTHING_G, _LEFT_FOR_LATER_G = 0.4, 0.2, 8.0

Act = Callable[[int], None]


class Today:
    """``holds`` says whether something that befalls this box's birds holds within a stretch."""

    def __init__(
        self,
        nest: NestState,
        day: CalendarDay,
        parameters: BirdParameters,
        hatchery: Hatchery,
        *,
        seed: int,
        chance: Generator,
        holds: Callable[[What, str], Intervals],
    ) -> None:
        self.nest = nest
        self.day = day
        self.p = parameters
        self.chance = chance
        self._hatchery = hatchery
        self._seed = seed
        self._holds = holds
        self.timeline: list[tuple[int, int, Act]] = []
        self.there = Presence()
        self.ledger = Ledger(
            nest.box, day.begin_s, day.end_s, bedding_g=nest.bedding_g, droppings_g=nest.droppings_g
        )
        for egg in nest.eggs:
            self.ledger.eggs[egg] = (day.begin_s, day.end_s)
        for egg in nest.chicks:
            self.ledger.chicks[egg] = (day.begin_s, day.end_s)

    # The morning: what the day brings.

    def lay_out(self, looks: Sequence[tuple[int, Act]]) -> None:
        """Decide all that the birds do by themselves today, around the keeper's looks."""
        self._ripen()
        found = stretches(self.nest, self.day.begin_s, self.day.end_s, self.p.sitting)
        self.there = presence(
            self.nest,
            self.day,
            self.p.sitting,
            found,
            looks=[at_s for at_s, _ in looks],
            off=self._holds(What.OFF_HER_EGGS, self.nest.box),
            chance=self.chance,
        )
        self._lay()
        self._throw(found)
        self._hatch()
        self._lose_eggs()
        self._chicks()
        self.timeline += [(at_s, 9, act) for at_s, act in looks]

    def at(self, at_s: int, act: Act, order: int = 0) -> None:
        """Put something on the day's list, if it is of this day."""
        if self.day.begin_s <= at_s < self.day.end_s:
            self.timeline.append((at_s, order, act))

    def _ripen(self) -> None:
        """The days before a first egg: the box, the light, then the egg."""
        nest, laying = self.nest, self.p.laying
        pair = nest.pair
        if pair is None or nest.entered_s is None or nest.lay_s is not None:
            return
        if nest.clutch is not None and nest.clutch.over_s is None:
            return
        if nest.eggs or nest.chicks or pair.rounds >= pair.up.rounds:
            return
        since = max(self.day.begin_s, nest.entered_s)
        if since >= self.day.end_s:
            return
        pace = 1 - laying.light_delay * max(0.0, laying.full_light_h - nest.light_h)
        pace = max(0.2, pace)
        gained = pace * (self.day.end_s - since) / DAY_S
        if nest.ready + gained >= nest.need:
            lay_s = since + int((nest.need - nest.ready) / pace * DAY_S)
            last = None if pair.ended_s is None else pair.ended_s - _LAST_EGG_BEFORE_THE_END
            if last is None or lay_s < last:
                nest.lay_s = min(lay_s, self.day.end_s - 1)
        nest.ready += gained

    def _lay(self) -> None:
        if self.nest.lay_s is not None:
            self.at(self.nest.lay_s, self._lays)

    def _throw(self, found: Sequence[Stretch]) -> None:
        """Bedding out: by the first egg nearly so little is left as this hen leaves in the end."""
        nest, bedding = self.nest, self.p.bedding
        phase = found[0].phase
        if phase not in (Phase.NESTING, Phase.LAYING, Phase.SITTING) or nest.youngest_days(0):
            return
        nests = phase is Phase.NESTING
        rate = bedding.throws_a_day if nests else bedding.throws_when_laying
        times = self._while_inside(int(self.chance.poisson(rate)))
        amounts = self.chance.exponential(1.0, len(times)).tolist()
        usual, floor = bedding.throw_g, nest.leaves_g
        if nests:
            days = max(0.6, nest.days_to_first_egg(self.day.begin_s))
            floor += _LEFT_FOR_LATER_G
            usual = max(0.5, (nest.bedding_g - floor) / days / max(rate, 0.1))
        if (nest.pair is not None and nest.pair.lazy) or self._holds(What.DOES_NOT_CLEAR, nest.box):
            usual = min(usual, _LAZY_THROW_G)
        for at_s, amount in zip(times, amounts, strict=True):
            self.at(at_s, partial(self._throws, usual * amount, floor))

    def _while_inside(self, number: int) -> list[int]:
        """Instants by day while the hen is in the box."""
        awake = [part for span in self.day.waking for part in clipped(self.there.hen, *span)]
        total = length_s(awake)
        if not total:
            return []
        picked = np.sort(self.chance.uniform(0, total, number)).tolist()
        return [at_s for x in picked if (at_s := after_seconds(awake, x)) is not None]

    def _hatch(self) -> None:
        for egg in self.nest.eggs:
            if egg.scripted is not None and egg.scripted.hatched_at is not None:
                self.at(int(egg.scripted.hatched_at.timestamp()), partial(self._hatches, egg), 1)
            elif egg.lives and egg.grew_s is not None:
                hatch_s = after_seconds(self.there.warm, egg.needs_s - egg.warm_s)
                if hatch_s is not None:
                    self.at(hatch_s, partial(self._hatches, egg), 1)

    def _lose_eggs(self) -> None:
        """A broken egg, or one that is gone; never before the keeper has seen it."""
        rate = self.p.survival.egg_loss_a_day
        draws = self.chance.uniform(size=(len(self.nest.eggs), 2)).tolist()
        for egg, (draw, when) in zip(self.nest.eggs, draws, strict=True):
            if egg.found_s is None or egg.hidden:
                continue
            if egg.scripted is not None:
                self._lose_as_scripted(egg)
            elif draw < rate:
                fate = "broken" if draw < 0.7 * rate else "missing"
                at_s = self.day.begin_s + int(when * DAY_S)
                self.at(at_s, partial(self._is_lost, egg, fate))

    def _lose_as_scripted(self, egg: EggState) -> None:
        lost = egg.scripted.lost if egg.scripted else None
        if lost is not None and lost[1] == "broken":
            self.at(self.day.local_s(lost[0], _AFTERNOON), partial(self._is_lost, egg, "broken"))

    def _chicks(self) -> None:
        for egg in self.nest.chicks:
            chick = egg.chick
            if chick is None or chick.died_s is not None:
                continue
            if chick.dies_s is not None:
                self.at(chick.dies_s, partial(self._dies, egg))
            self._leave(egg)

    def _leave(self, egg: EggState) -> None:
        chick = egg.chick
        assert chick is not None  # noqa: S101 - asked before
        if chick.leaves_s >= self.day.end_s:
            return
        for since, until in self.day.waking:
            at_s = chick.leaves_s
            if at_s < since:  # its time came at night: some hour of the day after
                at_s = since + 600 + chick.leaves_s % max(1, until - since - 1200)
            if at_s < until:
                self.at(at_s, partial(self._leaves, egg))
                return

    # The day: what happens, in its order.

    def live_through(self) -> None:
        """All of the day's events; the nest is then as it is at the day's end."""
        while self.timeline:
            self.timeline.sort(key=lambda one: one[:2])
            at_s, _, act = self.timeline.pop(0)
            act(at_s)
        self._grow()

    def _lays(self, at_s: int) -> None:
        nest = self.nest
        pair = nest.pair
        assert pair is not None  # noqa: S101 - it is her egg
        clutch = nest.clutch
        if clutch is None or clutch.over_s is not None or clutch.pair is not pair:
            clutch = nest.clutch = self._hatchery.clutch(nest, pair)
        before = Gathered()
        for lived in nest.last_days:
            before.add(lived)
        egg = self._hatchery.egg(clutch, at_s, before)
        clutch.eggs.append(egg)
        nest.eggs.append(egg)
        self.ledger.comes(at_s, egg)
        self.ledger.note(at_s, Kind.EGG_LAID, egg, egg.fresh_g)
        if egg.number == clutch.sits_with:
            self._begins_to_sit(clutch, at_s)
        if clutch.sitting_s is not None:
            egg.grew_s = at_s
        nest.lay_s = next_lay_s(clutch, self.p, self._seed)
        nest.ready = 0.0

    def _begins_to_sit(self, clutch: ClutchState, at_s: int) -> None:
        clutch.sitting_s = at_s
        self.ledger.note(at_s, Kind.SITTING_BEGAN)
        for egg in self.nest.eggs:
            if egg.grew_s is None:
                egg.grew_s = at_s

    def _throws(self, grams: float, floor_g: float, at_s: int) -> None:
        out = min(grams, self.nest.bedding_g - floor_g)
        if out > _NOTHING_G:
            self.bedding(at_s, -out)
            self.nest.thrown_g += out

    def bedding(self, at_s: int, grams: float) -> None:
        """In or out, whoever did it."""
        self.nest.bedding_g += grams
        self.ledger.bedding(at_s, grams)

    def _hatches(self, egg: EggState, at_s: int) -> None:
        nest = self.nest
        if egg not in nest.eggs:
            return
        if egg.scripted is None and egg.threshold < final_risk(egg, nest, self.p):
            egg.died_s = at_s - int(self.chance.uniform(0.2, 2.0) * DAY_S)
            return
        rank = sum(1 for other in egg.clutch.eggs if other.chick is not None)
        egg.chick = self._hatchery.chick(egg, at_s, rank)
        self.end(egg, at_s, "hatched")
        nest.chicks.append(egg)
        self.ledger.chick_comes(at_s, egg)
        shell = max(0.0, self.mass_now(egg, at_s) - egg.chick.curve.hatch_g)
        nest.bedding_g += shell
        self.ledger.shell(at_s, shell)
        self.ledger.note(at_s, Kind.HATCHED, egg)

    def end(self, egg: EggState, at_s: int, fate: str) -> None:
        """An egg is no more in the nest."""
        egg.fate, egg.ended_s = fate, at_s
        self.nest.eggs.remove(egg)
        self.ledger.goes(at_s, egg)

    def _is_lost(self, egg: EggState, fate: str, at_s: int) -> None:
        if egg not in self.nest.eggs:
            return
        self.ledger.note(at_s, Kind.EGG_LOST, egg, -self.mass_now(egg, at_s), fate)
        self.end(egg, at_s, fate)
        self.nest.unknown_losses.append((egg, fate))

    def mass_now(self, egg: EggState, at_s: int) -> float:
        """An egg's mass at an instant of the day [g], as the air of yesterday draws at it."""
        since = max(self.ledger.eggs[egg][0], self.day.begin_s)
        return egg.mass_g - egg.conductance * self.nest.pull_pa * (at_s - since) / DAY_S

    def gives(self, egg: EggState, to_box: str, at_s: int) -> None:
        """The keeper carries an egg away into another box."""
        if egg not in self.nest.eggs:
            return
        self.warmed(egg, at_s)
        self.ledger.note(at_s, Kind.MOVED_OUT, egg, -self.mass_now(egg, at_s), to_box)
        self.nest.eggs.remove(egg)
        self.ledger.goes(at_s, egg)
        egg.moves.append((at_s, self.nest.box, to_box))
        self.ledger.handled.append(Handling(since=instant(at_s), until=instant(at_s + 20)))

    def takes(self, egg: EggState, from_box: str, at_s: int) -> None:
        """An egg of another box is laid under this hen."""
        self.nest.eggs.append(egg)
        self.ledger.comes(at_s, egg)
        self.ledger.note(at_s, Kind.MOVED_IN, egg, egg.mass_g, from_box)
        self.ledger.handled.append(Handling(since=instant(at_s), until=instant(at_s + 20)))

    def clean(self, at_s: int, fresh_g: float) -> None:
        """Droppings and soiled bedding out, fresh bedding in."""
        nest = self.nest
        self.ledger.cleaned.append(at_s)
        self.ledger.note(at_s, Kind.DROPPINGS_OUT, grams=-self._droppings_at(at_s))
        self.bedding(at_s, -0.7 * nest.bedding_g)
        self.bedding(at_s, fresh_g)

    def _dies(self, egg: EggState, at_s: int) -> None:
        chick = egg.chick
        if chick is not None and egg in self.nest.chicks and chick.left_s is None:
            chick.died_s = at_s
            self.ledger.note(at_s, Kind.CHICK_DIED, egg)

    def _leaves(self, egg: EggState, at_s: int) -> None:
        chick = egg.chick
        if chick is None or chick.died_s is not None or egg not in self.nest.chicks:
            return
        chick.left_s = at_s
        self.nest.chicks.remove(egg)
        self.ledger.chick_goes(at_s, egg)
        self.ledger.note(at_s, Kind.LEFT_THE_BOX, egg, -chick.mass_at(at_s))

    def _grow(self) -> None:
        """What the day's warmth did for each egg that lies there at its end."""
        for egg in self.nest.eggs:
            self.warmed(egg, self.day.end_s)

    def warmed(self, egg: EggState, until_s: int) -> None:
        """Count an egg's warmth in this box up to an instant; a clear one is warmed as well."""
        if egg.grew_s is None or egg.died_s is not None:
            return
        since = max(self.ledger.eggs[egg][0], egg.grew_s)
        warm = 0 if egg.hidden else length_s(clipped(self.there.warm, since, until_s))
        egg.warm_s += warm
        egg.chilled_s += max(0, until_s - since - warm)

    def _droppings_at(self, at_s: int) -> float:
        share = self.p.growth.droppings_a_day
        found = self.ledger.droppings_minutes(self.ledger.brood_minutes(), share, cleaned=False)
        at = minute(at_s, self.day.begin_s)
        return float(found[at - 1]) if at else self.ledger.droppings_g

    # What is told of it.

    def nest_day(self, hen_g: float, cock_g: float, dryness: Minutes) -> NestDay:
        """The day as the rest of the shed hears of it."""
        ledger = self.ledger
        brood = ledger.brood_minutes()
        droppings = ledger.droppings_minutes(brood, self.p.growth.droppings_a_day)
        self.nest.droppings_g = float(droppings[-1])
        return NestDay(
            at=self.day.at,
            box=self.nest.box,
            stays=self._stays(),
            handled=tuple(ledger.handled),
            events=tuple(sorted(ledger.events, key=_when)),
            hen_g=hen_g,
            cock_g=cock_g,
            bedding_g=ledger.bedding_minutes(),
            eggs_g=ledger.egg_minutes(dryness),
            brood_g=brood,
            droppings_g=droppings,
            warm_share=ledger.warm_minutes(self.there.nesting, self.there.warming, brood),
        )

    def with_dryness(self, told: NestDay, dryness: Minutes) -> NestDay:
        """The same with the water that the eggs truly lost."""
        return replace(told, eggs_g=self.ledger.egg_minutes(dryness))

    def _stays(self) -> tuple[Stay, ...]:
        found = [
            Stay(who=who, since=instant(since), until=instant(until))
            for who, intervals in ((Who.HEN, self.there.hen), (Who.COCK, self.there.cock))
            for since, until in intervals
        ]
        return tuple(sorted(found, key=lambda stay: stay.since))

    def minutes_of(self, span: tuple[int, int]) -> tuple[int, int]:
        """The minutes of a stretch within the day."""
        return minute(span[0], self.day.begin_s), minute(span[1], self.day.begin_s)

    def inside(self, at_s: int) -> bool:
        """Whether the hen is in the box at an instant."""
        return within(self.there.hen, at_s)


def _when(event: Event) -> tuple[object, str]:
    return event.at, event.kind
