"""What the keeper sees and does at one look into one box. Changes the nest as a keeper would.

Mornings are for counting; everything else waits for the evening.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime

from simulated_feeds.birds.states import DAY_S, ClutchState, EggState, NestState, instant
from simulated_feeds.birds.today import Today
from simulated_feeds.day import Handling, Kind
from simulated_feeds.keeper.look import Look, Weighed
from simulated_feeds.keeper.parameters import KeeperParameters

_EARLY_DEATH_DAYS = 9.0
_SEEN_FERTILE_DAYS = 4.5
_LAYING_IS_OVER_S = 5 * DAY_S
_FRESH_BEDDING_G = 25.0
_DUG_OUT_G = 70.0
_LEVELS = ((10.0, "bare floor"), (40.0, "thin layer"), (100.0, "about half"))


@dataclass(slots=True)
class _Seen:
    """What goes into the book of this look."""

    found: list[str] = field(default_factory=list)
    hatched: list[str] = field(default_factory=list)
    lost: list[tuple[str, str]] = field(default_factory=list)
    candled: list[tuple[str, str]] = field(default_factory=list)
    ringed: list[tuple[str, str]] = field(default_factory=list)
    gone: list[tuple[str, str]] = field(default_factory=list)
    not_in_sight: list[str] = field(default_factory=list)
    weighed: list[Weighed] = field(default_factory=list)
    put_back: bool = False
    taken_out: bool = False
    hide_in: bool = False
    takes_s: int = 0


class AtTheNest:
    """One look at an instant. ``ring`` gives the next ring for the chick of an egg."""

    def __init__(
        self,
        today: Today,
        at_s: int,
        *,
        evening: bool,
        keeper: KeeperParameters,
        ring: Callable[[EggState], str],
        abroad: Callable[[NestState], list[EggState]],
    ) -> None:
        self._today = today
        self._nest = today.nest
        self._at_s = at_s
        self._evening = evening
        self._keeper = keeper
        self._ring = ring
        self._abroad = abroad
        self._seen = _Seen()

    def look(self) -> Look | None:
        """The look as it was; None where no pair is up and nothing lies there."""
        nest = self._nest
        if nest.pair is None or nest.pair.put_up_s > self._at_s:
            return None
        hen = self._hen()
        self._eggs_and_chicks(hen)
        if self._evening:
            self._candle()
            self._give_up()
            self._ring_and_weigh()
            self._clean()
            self._hide()
        self._told_over()
        found = self._write(hen)
        self._handle()
        nest.looked_s = self._at_s
        nest.thrown_g = 0.0
        return found

    def _hen(self) -> str:
        nest = self._nest
        if self._today.inside(self._at_s):
            clutch = nest.clutch
            since = None if clutch is None else clutch.sitting_s
            sits = bool(nest.eggs) and since is not None and since <= self._at_s
            return "sitting" if sits else "in the box"
        return "off the nest" if self._today.chance.uniform() < 0.7 else "not seen"

    def _eggs_and_chicks(self, hen: str) -> None:
        """All that can be seen without a light or a ring."""
        nest, seen = self._nest, self._seen
        clutch = nest.clutch
        if hen == "sitting" and clutch is not None and clutch.sitting_seen_s is None:
            clutch.sitting_seen_s = self._at_s
        for egg in nest.eggs:
            self._one_egg(egg)
        for egg in nest.chicks:
            if egg.chick is not None and egg.chick.seen_s is None:
                egg.chick.seen_s = self._at_s
                seen.hatched.append(egg.name)
        seen.lost += [(egg.name, fate) for egg, fate in nest.unknown_losses]
        nest.unknown_losses.clear()
        self._the_dead()
        self._the_gone()

    def _one_egg(self, egg: EggState) -> None:
        if egg.found_s is None:
            egg.found_s = self._at_s
            self._seen.found.append(egg.name)
            deep = self._nest.bedding_g > self._today.p.bedding.deep_g
            egg.hidden = deep and float(self._today.chance.uniform()) < 0.5
            return
        if not egg.hidden:
            return
        egg.unseen += 1
        if egg.unseen < 2:
            self._seen.not_in_sight.append(egg.name)
            return
        # Not seen twice: the keeper feels for it, and takes out what is too much.
        egg.hidden, egg.unseen = False, 0
        out = min(_DUG_OUT_G, max(0.0, self._nest.bedding_g - self._nest.leaves_g))
        if out:
            self._today.bedding(self._at_s, -out)
        self._seen.taken_out = True
        self._seen.takes_s += 90

    def _the_dead(self) -> None:
        for egg in list(self._nest.chicks):
            chick = egg.chick
            if chick is None or chick.died_s is None:
                continue
            chick.told = "died"
            self._seen.gone.append((egg.name, "died"))
            self._nest.chicks.remove(egg)
            self._today.ledger.chick_goes(self._at_s, egg)
            self._today.ledger.note(
                self._at_s, Kind.TAKEN_OUT, egg, -chick.mass_at(self._at_s), "died"
            )

    def _the_gone(self) -> None:
        """Who left the box is seen on the floor, and in its time feeding itself."""
        for egg in self._own():
            chick = egg.chick
            if chick is None or chick.left_s is None:
                continue
            if chick.seen_s is None:
                chick.seen_s = self._at_s
                self._seen.hatched.append(egg.name)
            if chick.told is None:
                chick.told = "fledged"
                self._seen.gone.append((egg.name, "fledged"))
            elif chick.told == "fledged" and chick.is_weaned and self._evening:
                chick.told = "weaned"
                self._seen.gone.append((egg.name, "weaned"))

    def _own(self) -> list[EggState]:
        """Eggs of this clutch and guests that hatched here, out of the box or not."""
        clutch = self._nest.clutch
        own = [] if clutch is None else clutch.eggs
        here = [egg for egg in own if not egg.moves or egg.moves[-1][2] == self._nest.box]
        return [*here, *self._abroad(self._nest)]

    def _since(self, egg: EggState) -> int | None:
        """When an egg began to be sat on, as the keeper knows it."""
        clutch = self._nest.clutch
        if clutch is None or clutch.sitting_seen_s is None or egg.found_s is None:
            return None
        return max(egg.found_s, clutch.sitting_seen_s)

    def _candle(self) -> None:
        nest = self._nest
        scripted = self._scripted_candling()
        if scripted is not None:
            self._seen.candled += scripted
            self._seen.takes_s += 25 * len(scripted)
            return
        lying = [egg for egg in nest.eggs if egg.candling in (None, "unsure") and not egg.hidden]
        after_s = self._keeper.candles_after_days * DAY_S
        ripe = [
            egg
            for egg in lying
            if egg.candled < 2
            and (since := self._since(egg)) is not None
            and self._at_s - since >= after_s
        ]
        if not ripe or (self._script_until() or 0) > self._at_s:
            return
        for egg in lying:
            egg.candled += 1
            egg.candling = _through_the_light(egg)
            self._seen.candled.append((egg.name, egg.candling))
        self._seen.takes_s += 25 * len(lying)

    def _script_until(self) -> int | None:
        pair = self._nest.pair
        if pair is None or pair.script is None:
            return None
        return int(pair.script.until.timestamp())

    def _scripted_candling(self) -> list[tuple[str, str]] | None:
        pair, clutch = self._nest.pair, self._nest.clutch
        if pair is None or pair.script is None or clutch is None or clutch.round > 1:
            return None
        here = instant(self._at_s).astimezone(self._today.day.zone).date()
        told = dict(pair.script.candled).get(here)
        if told is None:
            return None
        for number, result in told:
            clutch.eggs[number - 1].candling = result
        return [(clutch.eggs[number - 1].name, result) for number, result in told]

    def _give_up(self) -> None:
        """What is clear for sure, and what should have hatched, is taken out."""
        late_s = self._keeper.gives_up_after_days * DAY_S
        here = instant(self._at_s).astimezone(self._today.day.zone).date()
        for egg in list(self._nest.eggs):
            since = self._since(egg)
            scripted = egg.scripted is not None and (self._script_until() or 0) > self._at_s
            if egg.scripted is not None and egg.scripted.lost is not None:
                if egg.scripted.lost[0] <= here:
                    self._take_out(egg, egg.scripted.lost[1])
            elif since is None or scripted or egg.hidden:
                continue
            elif egg.candling == "clear" or self._at_s - since >= late_s:
                self._take_out(egg, _opened(egg))

    def _take_out(self, egg: EggState, fate: str) -> None:
        grams = -self._today.mass_now(egg, self._at_s)
        self._today.end(egg, self._at_s, fate)
        self._today.ledger.note(self._at_s, Kind.EGG_LOST, egg, grams, fate)
        self._seen.lost.append((egg.name, fate))

    def _ring_and_weigh(self) -> None:
        for egg in self._nest.chicks:
            chick = egg.chick
            if chick is None or chick.seen_s is None:
                continue
            age = (self._at_s - chick.seen_s) / DAY_S
            if chick.ring is None and age >= self._keeper.rings_from_days:
                chick.ring = self._ring(egg)
                self._seen.ringed.append((egg.name, chick.ring))
                self._seen.takes_s += 40
            wanted = (chick.ring is not None) + (age >= 20)
            if self._keeper.weighs and chick.weighed < wanted:
                chick.weighed = wanted
                mass = round(chick.mass_at(self._at_s), 1)
                self._seen.weighed.append(Weighed(egg=egg.name, mass_g=mass))

    def _clean(self) -> None:
        nest = self._nest
        youngest = nest.youngest_days(self._at_s)
        due = self._at_s - nest.cleaned_s >= self._keeper.cleans_every_days * DAY_S
        if nest.eggs or youngest is None or youngest < 8 or not due:
            return
        nest.cleaned_s = self._at_s
        self._today.clean(self._at_s, _FRESH_BEDDING_G)
        self._seen.put_back = self._seen.taken_out = True
        self._seen.takes_s += 120

    def _hide(self) -> None:
        nest = self._nest
        clutch = nest.clutch
        if clutch is None or clutch.hide_in or clutch.over_s is not None:
            return
        ages = [
            (self._at_s - egg.chick.seen_s) / DAY_S
            for egg in nest.chicks
            if egg.chick is not None and egg.chick.seen_s is not None
        ]
        if ages and max(ages) >= self._today.p.leaving.least_days - self._keeper.hides_before_days:
            clutch.hide_in = self._seen.hide_in = True

    def _told_over(self) -> None:
        """A clutch is over when all of it is known and no more eggs come."""
        clutch = self._nest.clutch
        if clutch is None or clutch.over_s is not None:
            return
        if not clutch.eggs or not all(_is_settled(egg, self._nest.box) for egg in clutch.eggs):
            return
        last = clutch.eggs[-1].found_s
        hatched = any(egg.chick is not None for egg in clutch.eggs)
        if last is not None and (hatched or self._at_s - last >= _LAYING_IS_OVER_S):
            clutch.over_s = self._at_s

    def _handle(self) -> None:
        length = 20 + int(self._today.chance.uniform(0, 60)) + self._seen.takes_s
        end_s = min(self._at_s + length, self._today.day.end_s)
        self._today.ledger.handled.append(Handling(since=self._at, until=instant(end_s)))

    @property
    def _at(self) -> datetime:
        return instant(self._at_s)

    def _write(self, hen: str) -> Look:
        nest, seen = self._nest, self._seen
        assert nest.pair is not None  # noqa: S101 - asked before
        clutch = _told_clutch(nest)
        level = _level(nest.bedding_g)
        told = level if level != nest.bedding_told or nest.thrown_g >= 3 or seen.put_back else None
        nest.bedding_told = level
        return Look(
            at=self._at,
            box=nest.box,
            pair=nest.pair.number,
            clutch=None if clutch is None else clutch.name,
            lying=tuple(e.name for e in nest.eggs if e.name not in seen.not_in_sight),
            sitting=tuple(e.name for e in nest.chicks),
            hen=hen,
            found=tuple(seen.found),
            hatched=tuple(seen.hatched),
            lost=tuple(seen.lost),
            candled=tuple(seen.candled),
            ringed=tuple(seen.ringed),
            gone=tuple(seen.gone),
            not_in_sight=tuple(seen.not_in_sight),
            bedding=told,
            thrown_out=nest.thrown_g >= 3,
            put_back=seen.put_back,
            taken_out=seen.taken_out,
            weighed=tuple(seen.weighed),
            hide_in=seen.hide_in,
        )


def _told_clutch(nest: NestState) -> ClutchState | None:
    clutch = nest.clutch
    return clutch if clutch is not None and clutch.eggs else None


def _is_settled(egg: EggState, box: str) -> bool:
    if egg.chick is not None:
        return egg.chick.told is not None or _is_away(egg, box)
    return (egg.fate is not None and egg.found_s is not None) or _is_away(egg, box)


def _is_away(egg: EggState, box: str) -> bool:
    return bool(egg.moves) and egg.moves[-1][2] != box


def _through_the_light(egg: EggState) -> str:
    """What a light shows: veins from some days on; a dead embryo leaves the keeper unsure."""
    grown = egg.warm_s / DAY_S
    if grown < _SEEN_FERTILE_DAYS or (egg.fertile and not egg.lives):
        return "unsure"
    return "fertile" if egg.fertile else "clear"


def _opened(egg: EggState) -> str:
    """What an egg truly was, as it shows when it is opened."""
    if not egg.fertile:
        return "clear"
    return "addled" if egg.warm_s < _EARLY_DEATH_DAYS * DAY_S else "dead in shell"


def _level(bedding_g: float) -> str:
    return next((word for most, word in _LEVELS if bedding_g < most), "deep")
