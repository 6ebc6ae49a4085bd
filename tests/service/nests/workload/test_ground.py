"""The shed as it is, and as it is supposed to be."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from service.nests.due import DueKind
from service.nests.nest import Nest
from service.nests.stage import Stage
from service.nests.workload.foreseen import first_of
from service.nests.workload.ground import Ground, Supposed, WhatIf, box_ahead, ground_of, runs
from service.nests.workload.usual_round import UsualRound
from tests.service.nests import nests_in_days as told
from tests.service.nests.workload.duties_in_a_shed import (
    NOW,
    SPECIES,
    empty_nest,
    known,
    paired_nest,
    places,
)


def ground(nests: list[Nest], what_if: WhatIf | None = None) -> Ground:
    supposed = Supposed(species=SPECIES, usual=UsualRound(), what_if=what_if or WhatIf())
    return ground_of(places(len(nests)), known(nests), supposed, NOW)


def test_cages_with_a_pair_are_those_to_look_after() -> None:
    assert runs(ground([paired_nest(1), empty_nest(2), paired_nest(3)])) == 2


def test_more_pairs_fill_empty_cages_before_further_ones() -> None:
    found = ground([paired_nest(1), empty_nest(2)], WhatIf(cages=4, put_up=NOW))
    assert [cage.name for cage in found.cages] == [
        "Cage 1",
        "Cage 2",
        "one more cage",
        "one more cage",
    ]
    assert (runs(found), found.added) == (4, 3)


def test_fewer_cages_are_the_first_of_the_walk() -> None:
    found = ground([paired_nest(1), empty_nest(2), paired_nest(3)], WhatIf(cages=1))
    assert [cage.name for cage in found.cages] == ["Cage 1", "Cage 2"]
    assert found.without == ("Cage 3",)


def test_no_cages_at_all_leave_the_empty_ones() -> None:
    found = ground([paired_nest(1), empty_nest(2)], WhatIf(cages=0))
    assert (runs(found), found.without) == (0, ("Cage 1",))


def test_as_many_cages_as_there_are_change_nothing() -> None:
    nests = [paired_nest(1), empty_nest(2)]
    assert ground(nests, WhatIf(cages=1)) == ground(nests)


def test_pairing_a_week_later_puts_off_all_of_the_round() -> None:
    now = ground([paired_nest(1)]).cages[0].boxes[0]
    later = ground([paired_nest(1)], WhatIf(later=timedelta(weeks=1))).cages[0].boxes[0]
    for kind in (DueKind.HATCH, DueKind.RING, DueKind.FLEDGE):
        before, after = first_of(now.foreseen, kind), first_of(later.foreseen, kind)
        assert before is not None
        assert after is not None
        assert after.since - before.since == timedelta(weeks=1)


def test_pair_that_has_laid_is_not_put_off() -> None:
    supposed = Supposed(species=SPECIES, usual=UsualRound())
    nest = told.nest([told.egg(1, 1), told.egg(2, 3)], checks=[told.look(9, 2)])
    (one,) = known([nest], told.day(9))
    later = replace(supposed, what_if=WhatIf(later=timedelta(weeks=2)))
    assert box_ahead(one, later, told.day(9)) == box_ahead(one, supposed, told.day(9))


def test_second_round_comes_after_the_first_young_are_out() -> None:
    nest = told.nest([told.egg(1, 1), told.egg(2, 3)], checks=[told.look(9, 2)])
    (one,) = known([nest], told.day(9))
    supposed = Supposed(species=SPECIES, usual=UsualRound(), what_if=WhatIf(second_round=True))
    found = box_ahead(one, supposed, told.day(9))
    out = first_of(found.foreseen, DueKind.FLEDGE)
    stages = [begin.stage for begin in found.course.to_come]
    assert out is not None
    assert stages.count(Stage.LAYING) == 1
    assert stages.index(Stage.LAYING) > stages.index(Stage.LEAVING)
    again = next(begin.span for begin in found.course.to_come if begin.stage is Stage.LAYING)
    assert again.until >= out.until
    # The box stays on between the rounds: it comes off once, after the second.
    offs = [due for due in found.foreseen if due.kind is DueKind.BOX_OFF]
    assert len(offs) == 1
    assert offs[0].span.since > again.until


def test_second_round_is_no_matter_of_a_box_without_a_pair() -> None:
    assert ground([empty_nest(1)], WhatIf(second_round=True)) == ground([empty_nest(1)])


def test_pair_that_should_have_laid_is_named() -> None:
    long_ago = date(2026, 1, 2)
    found = ground([paired_nest(1, long_ago), paired_nest(2)])
    assert found.silent == ("Box 1",)


def test_new_pair_asks_for_nothing_before_it_is_put_up() -> None:
    put_up = datetime(2026, 3, 20, 12, tzinfo=UTC)
    found = ground([paired_nest(1)], WhatIf(cages=2, put_up=put_up))
    assert found.cages[1].since == put_up
    shares = found.cages[1].boxes[0].course.shares(put_up - timedelta(days=1))
    assert shares == {Stage.EMPTY: 1.0}


def test_box_that_is_off_is_off_for_the_walk_too() -> None:
    off = replace(empty_nest(1), off_since=NOW)
    assert ground([off]).cages[0].boxes[0].spot.off
