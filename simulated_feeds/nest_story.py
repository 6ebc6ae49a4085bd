"""The nest book of the simulated shed, told as the keeper's nest checks up to the present.

What truly happens (``nest_plans``) is turned into what the keeper saw on each visit, so
counts and events of the checks agree by construction.
"""

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from uuid import NAMESPACE_URL, UUID, uuid5

from simulated_feeds.nest_plans import BOXES, PLANS, RING_DAYS, EggPlan, NestPlan
from simulated_feeds.nest_values import (
    Bird,
    ChickRinged,
    EggCandled,
    EggLost,
    NestCheck,
    Pair,
    Place,
    Story,
)
from simulated_feeds.scenario import Scenario
from simulated_feeds.seeded import stream_of, uniform

_MORNING, _EVENING = time(7, 15), time(18, 30)
_MINUTES_A_BOX = 3
_BROODING_DAYS = 10
_VARIETIES = (
    "light green", "sky blue", "opaline grey", "cinnamon green", "spangle cobalt",
    "dominant pied green", "yellow-faced blue", "lutino", "normal grey",
)  # fmt: skip
_RESTING_BIRDS = 8


def story(scenario: Scenario) -> Story:
    """The nine cages and boxes, their birds and pairs, and every check up to ``origin``.

    At the present: box 1 has four ringed chicks about three weeks old, box 2 may hatch from
    tomorrow, box 3 waits for its third egg, box 4 has two chicks and two eggs, the pair of
    cage 5 was put up three days ago, boxes 6 to 9 are empty.
    """
    today = _today(scenario)
    pairs = tuple(
        Pair(
            cage=f"cage-{plan.number}",
            cock_id=2 * place + 1,
            hen_id=2 * place + 2,
            put_up_on=today + timedelta(days=plan.put_up),
        )
        for place, plan in enumerate(PLANS)
    )
    checks = sorted((c for plan in PLANS for c in _checks(scenario, plan)), key=lambda c: c.at)
    return Story(places=places(), birds=_birds(today), pairs=pairs, checks=tuple(checks))


def places() -> tuple[Place, ...]:
    """Shed, outdoors, a flight, nine cages and their boxes, in walking order."""
    shed = Place(id="shed", kind="shed", name="Hazel shed", within=None, order=1)
    outdoors = Place(id="outdoors", kind="outdoors", name="Outdoors", within=None, order=2)
    flight = Place(id="flight", kind="flight", name="Flight", within="shed", order=3)
    cages = []
    for n in range(1, BOXES + 1):
        cages += [
            Place(id=f"cage-{n}", kind="cage", name=f"Cage {n}", within="shed", order=10 * n),
            Place(id=f"box-{n}", kind="box", name=f"Box {n}", within=f"cage-{n}", order=10 * n + 1),
        ]
    return (shed, outdoors, flight, *cages)


def sitting_since(scenario: Scenario, box: str) -> datetime | None:
    """When the hen began to sit in a box [UTC]; None where none sits."""
    for plan in PLANS:
        if plan.box == box and plan.sitting_from is not None:
            return _laid_at(scenario, plan, plan.eggs[1])
    return None


def _today(scenario: Scenario) -> date:
    return scenario.origin.astimezone(scenario.zone).date()


def _birds(today: date) -> tuple[Bird, ...]:
    """A cock and a hen for each pair, then those that rest in the flight."""
    return tuple(
        Bird(
            id=number,
            sex="cock" if number % 2 else "hen",
            ring=f"HZ-{(today.year - 2 - number % 3) % 100:02d}-{10 + 3 * number:03d}",
            variety=_VARIETIES[number * 4 % len(_VARIETIES)],
            hatched_on=date(today.year - 2 - number % 3, 3 + number % 5, 1 + number),
        )
        for number in range(1, 2 * len(PLANS) + _RESTING_BIRDS + 1)
    )


def _moment(scenario: Scenario, plan: NestPlan, egg: EggPlan, day: int, around: int) -> datetime:
    """An instant on a day within two hours of an hour, between the two visits."""
    draw = uniform(scenario.seed, stream_of(plan.box), 100 * egg.number + around)
    noon = scenario.local(_today(scenario) + timedelta(days=day), time(around))
    return noon + timedelta(hours=4 * draw - 2)


def _laid_at(scenario: Scenario, plan: NestPlan, egg: EggPlan) -> datetime:
    return _moment(scenario, plan, egg, egg.laid, 13)


def _hatched_at(scenario: Scenario, plan: NestPlan, egg: EggPlan) -> datetime | None:
    return None if egg.hatched is None else _moment(scenario, plan, egg, egg.hatched, 12)


def _visits(scenario: Scenario, plan: NestPlan) -> Iterator[tuple[int, bool, datetime]]:
    """Day, whether it is the evening's, and instant of each look into a box up to now.

    Every evening; in the mornings too while eggs are laid or hatch.
    """
    laid = [egg.laid for egg in plan.eggs]
    hatched = [egg.hatched for egg in plan.eggs if egg.hatched is not None]
    busy = [range(min(days) - 2, max(days) + 2) for days in (laid, hatched) if days]
    walk = timedelta(minutes=_MINUTES_A_BOX * plan.number)
    for day in range(plan.put_up + 1, 1):
        for evening in (False, True):
            local_day = _today(scenario) + timedelta(days=day)
            at = scenario.local(local_day, _EVENING if evening else _MORNING) + walk
            if at <= scenario.origin and (evening or any(day in days for days in busy)):
                yield day, evening, at


def _checks(scenario: Scenario, plan: NestPlan) -> Iterator[NestCheck]:
    seen: set[int] = set()
    for day, evening, at in _visits(scenario, plan):
        hatched = _hatched_until(scenario, plan, at)
        gone = {egg.number for egg in plan.eggs if _is_taken_out(egg, day, evening)}
        laid = {egg.number for egg in plan.eggs if _laid_at(scenario, plan, egg) <= at}
        yield NestCheck(
            form_id=_form_id(scenario, plan, at),
            box=plan.box,
            at=at,
            eggs=len(laid - gone - hatched),
            chicks=len(hatched),
            hen=_hen(scenario, plan, day, at),
            hatched=tuple(sorted(hatched - seen)),
            lost=_lost(plan, day) if evening else (),
            candled=_candled(plan, day) if evening else (),
            ringed=_ringed(scenario, plan, day) if evening else (),
        )
        seen |= hatched


def _hatched_until(scenario: Scenario, plan: NestPlan, at: datetime) -> set[int]:
    moments = {egg.number: _hatched_at(scenario, plan, egg) for egg in plan.eggs}
    return {number for number, moment in moments.items() if moment is not None and moment <= at}


def _is_taken_out(egg: EggPlan, day: int, evening: bool) -> bool:
    return egg.lost is not None and (egg.lost[0] < day or (egg.lost[0] == day and evening))


def _lost(plan: NestPlan, day: int) -> tuple[EggLost, ...]:
    return tuple(
        EggLost(number=egg.number, fate=egg.lost[1])
        for egg in plan.eggs
        if egg.lost is not None and egg.lost[0] == day
    )


def _candled(plan: NestPlan, day: int) -> tuple[EggCandled, ...]:
    results = dict(plan.candled).get(day, ())
    return tuple(EggCandled(number=number, result=result) for number, result in results)


def _ringed(scenario: Scenario, plan: NestPlan, day: int) -> tuple[ChickRinged, ...]:
    year = _today(scenario).year % 100
    return tuple(
        ChickRinged(
            egg_number=egg.number, ring=f"HZ-{year:02d}-{20 * plan.number + egg.number:03d}"
        )
        for egg in plan.eggs
        if egg.hatched is not None and egg.hatched + RING_DAYS == day
    )


def _hen(scenario: Scenario, plan: NestPlan, day: int, at: datetime) -> str:
    """Mostly on her eggs and small chicks; before and after that in and out of the box."""
    draw = uniform(scenario.seed, stream_of(plan.box), int(at.timestamp()))
    lying = [egg for egg in plan.eggs if egg.hatched is None and egg.lost is None]
    youngest = 0 if lying else max((egg.hatched or -99 for egg in plan.eggs), default=0)
    if plan.sitting_from is None or day < plan.sitting_from or day > youngest + _BROODING_DAYS:
        return "in the box" if draw < 0.5 else "off the nest" if draw < 0.8 else "not seen"
    return "sitting" if draw < 0.88 else "off the nest"


def _form_id(scenario: Scenario, plan: NestPlan, at: datetime) -> UUID:
    return uuid5(NAMESPACE_URL, f"clutchweather:{scenario.seed}:{plan.box}:{at.isoformat()}")
