"""What the forecast asks of a day is what the duties' own list asks of it."""

from datetime import timedelta

import pytest

from service.nests.duty import ByCalendar, ByStage, Duty, EveryDays, Visit, Weekday, WhereKind
from service.nests.duty_days import ShedDays, slots_on
from service.nests.place import PlaceKind
from service.nests.stage import Stage
from service.nests.workload.asked import Asking, Piece, Spot, asked_of, in_stages
from service.nests.workload.forecast import forecast
from service.nests.workload.ground import Supposed, WhatIf, ground_of
from service.nests.workload.usual_round import UsualRound
from tests.service.nests.workload.duties_in_a_shed import (
    NOW,
    SPECIES,
    TIMES,
    TODAY,
    ZONE,
    duty,
    empty_nest,
    known,
    on_warm_days,
    paired_nest,
    places,
)

CAGE = Spot(id="cage-1", kind=PlaceKind.CAGE)


def asking(*duties: Duty) -> Asking:
    return Asking(duties=duties, times=TIMES, zone=ZONE)


@pytest.mark.parametrize(
    "one",
    [
        duty(1, "seed", WhereKind.EVERY_CAGE, visits=(Visit.MORNING, Visit.EVENING)),
        duty(1, "greens", WhereKind.EVERY_CAGE, visits=(Visit.MIDDAY, Visit.EVENING)),
        duty(
            1,
            "trays",
            WhereKind.EVERY_BOX,
            ByCalendar(weekdays=frozenset({Weekday.WEDNESDAY, Weekday.SATURDAY})),
        ),
        duty(1, "mites", WhereKind.SHED, EveryDays(days=5, first=TODAY + timedelta(days=3))),
        duty(1, "grit", WhereKind.NAMED, places=("cage-2", "box-3", "shed")),
        duty(1, "off", WhereKind.EVERY_CAGE, off=True),
    ],
    ids=lambda one: one.name,
)
def test_calendar_asks_the_same_of_every_day_as_todays_list_will(one: Duty) -> None:
    nests = [paired_nest(1), empty_nest(2), empty_nest(3)]
    supposed = Supposed(species=SPECIES, usual=UsualRound(), what_if=WhatIf())
    ground = ground_of(places(3), known(nests), supposed, NOW)
    shed = ShedDays(nests=nests, places=places(3), now=NOW, zone=ZONE, times=TIMES)
    for day in forecast(ground, asking(one), NOW, weeks=3):
        slots = slots_on(day.day, [one], shed)
        of_duty = dict(day.parts).get(one.name, 0.0)
        assert of_duty == len(slots) * one.minutes, day.day


def test_stage_of_several_days_is_asked_for_with_its_share() -> None:
    stage = ByStage(stages=frozenset({Stage.REARING}), every=4)
    asked = asked_of(
        asking(duty(1, "clean", WhereKind.EVERY_CAGE, stage)),
        CAGE,
        TODAY,
        in_stages([Stage.REARING]),
    )
    assert asked == (Piece(part="clean", minutes=1.0, chance=0.25),)


def test_other_stage_is_not_asked_for() -> None:
    stage = ByStage(stages=frozenset({Stage.REARING}))
    soft = asking(duty(1, "soft food", WhereKind.EVERY_CAGE, stage))
    assert asked_of(soft, CAGE, TODAY, in_stages([Stage.SITTING])) == ()
    assert asked_of(soft, CAGE, TODAY, in_stages([])) == ()


def test_weather_is_never_foreseen() -> None:
    asked = asked_of(asking(on_warm_days()), CAGE, TODAY, in_stages([]))
    assert asked
    assert not any(piece.foreseen for piece in asked)


def test_supposed_cage_is_none_of_the_named_places() -> None:
    only = asking(duty(1, "grit", WhereKind.NAMED, places=("cage-2",)))
    assert asked_of(only, Spot(id=None, kind=PlaceKind.CAGE), TODAY, in_stages([])) == ()
