"""What the taps of a visit tell."""

from datetime import UTC, date, datetime, timedelta

import pytest

from service.nests.duty import Visit
from service.nests.workload.timed_visit import TimedVisit, VisitTook, timed, whole_days

DAY = date(2026, 3, 2)
AT = datetime(2026, 3, 2, 7, tzinfo=UTC)
LATER = AT + timedelta(days=1)


def visit(
    minutes: float | None, *, number: int = 1, which: Visit = Visit.MORNING, days: int = 0
) -> TimedVisit:
    began = AT + timedelta(days=days)
    return TimedVisit(
        id=number,
        day=DAY + timedelta(days=days),
        visit=which,
        began_at=began,
        ended_at=None if minutes is None else began + timedelta(minutes=minutes),
    )


def test_interrupted_visit_counts_with_all_its_parts() -> None:
    told = timed([visit(20), visit(15, number=2)], LATER)
    assert told.took == (VisitTook(day=DAY, visit=Visit.MORNING, minutes=35),)


@pytest.mark.parametrize("forgotten", [None, 241, 1000])
def test_visit_whose_end_was_forgotten_tells_nothing_and_is_counted(
    forgotten: float | None,
) -> None:
    told = timed([visit(forgotten), visit(20, number=2)], LATER)
    assert told.took == ()
    assert told.forgotten == 1


def test_visit_that_goes_on_is_not_forgotten_and_not_counted() -> None:
    told = timed([visit(None)], AT + timedelta(minutes=20))
    assert (told.took, told.forgotten) == ((), 0)


def test_tap_by_mistake_is_passed_over() -> None:
    assert timed([visit(0.2)], LATER).took == ()


def test_visits_come_in_the_order_of_their_days() -> None:
    told = timed(
        [visit(9, days=1), visit(8, which=Visit.EVENING), visit(7, number=3)],
        LATER + timedelta(days=2),
    )
    assert [one.minutes for one in told.took] == [7, 8, 9]


def test_day_is_whole_when_every_visit_of_it_was_timed() -> None:
    took = timed(
        [visit(20), visit(14, which=Visit.EVENING), visit(9, days=1)], LATER + timedelta(days=2)
    ).took
    assert whole_days(took, 2) == {DAY: 34}
    assert whole_days(took, 3) == {}
