"""The workload read from real stores, and what it says it rests on."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from service.answers.work_ahead import usual_round, work_ahead
from service.answers.workload import rests_on, workload
from service.clock import FixedClock
from service.nests.due import DueKind
from service.nests.share import Share
from service.nests.workload.ground import WhatIf
from service.nests.workload.usual_round import UsualRound
from tests.dashboards.filled_shed import NOW, FilledShed, open_filled_shed


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[FilledShed]:
    filled = open_filled_shed(tmp_path, clock=FixedClock(NOW))
    yield filled
    filled.close()


@pytest.mark.parametrize(
    ("share", "hatching"),
    [
        (Share(count=0, of=0), 0.7),
        (Share(count=3, of=4), 0.7),
        (Share(count=27, of=51), 27 / 51),
    ],
)
def test_books_own_share_of_hatched_eggs_is_used_where_it_says_something(
    share: Share, hatching: float
) -> None:
    told = usual_round(share)
    assert told.hatching == pytest.approx(hatching)
    source = "27 of 51 eggs of this book hatched" if share.of > 9 else UsualRound().hatching_source
    assert told.hatching_source == source


def test_without_duties_the_nests_alone_take_time(shed: FilledShed) -> None:
    (found,) = work_ahead(shed.records, shed.settings, NOW)
    parts = {name for one in found.days for name, _ in one.parts}
    assert not found.duties
    assert parts <= {kind.value for kind in DueKind}
    assert DueKind.RING.value in parts


def test_each_if_has_its_own_forecast_of_the_same_shed(shed: FilledShed) -> None:
    what_ifs = (WhatIf(), WhatIf(cages=4, put_up=NOW))
    now, then = work_ahead(shed.records, shed.settings, NOW, what_ifs)
    assert [one.day for one in now.days] == [one.day for one in then.days]
    assert sum(one.minutes.mean for one in then.days) > sum(one.minutes.mean for one in now.days)
    assert work_ahead(shed.records, shed.settings, NOW)[0] == now


def test_days_are_those_of_the_sheds_zone(shed: FilledShed) -> None:
    late = datetime(2026, 4, 21, 22, 30, tzinfo=UTC)  # half past midnight in Amsterdam
    assert workload(work_ahead(shed.records, shed.settings, late)[0])[0]["date"] == "2026-04-22"


def test_nothing_timed_is_said_so(shed: FilledShed) -> None:
    (found,) = work_ahead(shed.records, shed.settings, NOW)
    assert rests_on(found).endswith("no visit was timed yet")
    assert found.days[0].day == date(2026, 4, 21)
    assert found.days[-1].day - found.days[0].day == timedelta(days=55)
