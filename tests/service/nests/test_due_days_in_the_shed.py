"""Worked examples of days in the shed, across the clocks' changes.

The counts of days are common practice, no source; that the clocks of the Netherlands went on by
an hour on 29 March 2026 and go back on 25 October 2026 is the time zone database's
("Europe/Amsterdam", rule EU). A day of growth is 24 hours: eggs know of no summer time.
"""

from datetime import UTC, date, datetime
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest

from service.nests.due import Due, DueKind
from service.nests.due_dates import due_dates
from service.nests.nest import Chick, Clutch, Egg, EggFate, Nest, NestCheck
from service.nests.span import Span, in_days
from tests.service.nests.nests_in_days import BOX, PAIR, SPECIES

SHED = ZoneInfo("Europe/Amsterdam")


def at(month: int, day: int, hour: int, minute: int = 0) -> datetime:
    """A time on the shed's clock in 2026, as the book keeps it."""
    return datetime(2026, month, day, hour, minute, tzinfo=SHED).astimezone(UTC)


def sat_from(sat: datetime) -> Nest:
    """One egg, sat on from an instant on."""
    egg = Egg(id=1, number=1, laid_from=sat, laid_to=sat)
    clutch = Clutch(id=1, box=BOX.id, pair_id=7, round=1, eggs=(egg,), sitting_from=sat)
    look = NestCheck(form_id=uuid4(), box=BOX.id, at=sat, eggs=1, chicks=0)
    return Nest(box=BOX, pair=PAIR, clutch=clutch, checks=(look,))


def hatched_at(hatched: datetime) -> Nest:
    """One chick, hatched at an instant."""
    laid = datetime(2026, 1, 1, tzinfo=UTC)
    egg = Egg(id=1, number=1, laid_from=laid, laid_to=laid, fate=EggFate.HATCHED, fate_to=hatched)
    chick = Chick(id=1, egg_number=1, hatched_from=hatched, hatched_to=hatched)
    clutch = Clutch(id=1, box=BOX.id, pair_id=7, round=1, eggs=(egg,), chicks=(chick,))
    return Nest(box=BOX, pair=PAIR, clutch=clutch)


def due_of(nest: Nest, kind: DueKind, now: datetime) -> Due:
    (found,) = [due for due in due_dates(nest, SPECIES, now, SHED) if due.kind is kind]
    return found


def days(due: Due) -> tuple[date, date]:
    return due.since.astimezone(SHED).date(), due.until.astimezone(SHED).date()


@pytest.mark.parametrize(
    ("sat", "first", "last"),
    [
        # 17 to 20 days from noon on 20 March: 6 to 9 April, as on the keeper's fingers.
        (at(3, 20, 12), date(2026, 4, 6), date(2026, 4, 9)),
        # The same from noon on 10 October: 27 to 30 October.
        (at(10, 10, 12), date(2026, 10, 27), date(2026, 10, 30)),
        # 20 days from half past eleven at night are half past midnight in summer time.
        (at(3, 20, 23, 30), date(2026, 4, 7), date(2026, 4, 10)),
        # From half past midnight in summer time they are half past eleven at night after it.
        (at(10, 10, 0, 30), date(2026, 10, 26), date(2026, 10, 29)),
        # Before the clocks change nothing shifts: 17 to 20 days from 1 February.
        (at(2, 1, 23, 30), date(2026, 2, 18), date(2026, 2, 21)),
    ],
)
def test_days_of_the_hatch(sat: datetime, first: date, last: date) -> None:
    assert days(due_of(sat_from(sat), DueKind.HATCH, sat)) == (first, last)


def test_days_of_the_ring_over_the_night_of_23_hours() -> None:
    # 7 to 10 days after noon on 22 March: 29 March to 1 April.
    nest = hatched_at(at(3, 22, 12))
    ring = due_of(nest, DueKind.RING, at(3, 23, 12))
    assert days(ring) == (date(2026, 3, 29), date(2026, 4, 1))
    # On the shed's clock the hour is one later than it was.
    assert f"{ring.since.astimezone(SHED):%H:%M}" == "13:00"


def test_days_of_the_outing_over_the_night_of_25_hours() -> None:
    # 28 to 35 days after noon on 1 October: 29 October to 5 November.
    nest = hatched_at(at(10, 1, 12))
    out = due_of(nest, DueKind.FLEDGE, at(10, 2, 12))
    assert days(out) == (date(2026, 10, 29), date(2026, 11, 5))


def test_the_reason_names_the_days_of_the_shed_and_not_those_of_utc() -> None:
    # 00:30 on 30 March in the shed is 22:30 on the 29th in UTC.
    nest = hatched_at(at(3, 30, 0, 30))
    why = due_of(nest, DueKind.RING, at(3, 30, 12)).why
    assert why == "chick 1 hatched 30 March; the ring goes on after 7 to 10 days"


def test_a_span_within_the_hour_that_comes_twice_is_one_day() -> None:
    twice = Span(
        since=datetime(2026, 10, 25, 0, 30, tzinfo=UTC),  # 02:30 in summer time
        until=datetime(2026, 10, 25, 1, 30, tzinfo=UTC),  # 02:30 again
    )
    assert in_days(twice, SHED) == "25 October"
