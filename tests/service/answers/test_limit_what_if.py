"""What a limit would have said is what it did say in life, over real stores and the real walk."""

import json
import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from devices.message import Message
from devices.reading import Quantity
from service.answers.limit_what_if import LAST_MONTH, LimitPast
from service.rules.limit import Limit, When
from service.settings import edits
from tests.dashboards.filled_shed import NOW
from tests.dashboards.kept_shed import KeptShed, open_kept_shed

STEP = timedelta(minutes=5)
FIRST = NOW - timedelta(hours=30)
MILD = Limit(
    id="mild",
    place="shed",
    quantity=Quantity.TEMPERATURE,
    low=8.0,
    deadband=0.5,
    on_delay=timedelta(minutes=20),
    off_delay=timedelta(minutes=15),
)


NIGHT = replace(MILD, id="by-night", low=9.5, when=When.NIGHT)
DAY = replace(MILD, id="by-day", low=12.0, when=When.DAY)
HIGH = replace(MILD, id="high", low=None, high=13.0)
LIMITS = {one.id: one for one in (MILD, NIGHT, DAY, HIGH)}


@pytest.fixture(scope="module")
def shed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[KeptShed]:
    """Thirty hours that a watch followed as they came, dark from 18:00 to 06:00 UTC."""
    opened = open_kept_shed(tmp_path_factory.mktemp("shed"))
    editor = opened.services().editor
    editor.change(edits.shed(timezone="UTC"), by=None, at=NOW)
    editor.change(edits.adopt(device="th-1", place="shed", interval=STEP), by=None, at=NOW)
    for one in LIMITS.values():
        editor.change(edits.limit(one), by=None, at=NOW)
    steps = int((NOW - FIRST) / STEP)
    path = opened.path(FIRST)
    path.walk([message(FIRST + nth * STEP) for nth in range(steps + 1)], lambda: None)
    path.tick(NOW)
    path.save_alarms()
    yield opened
    opened.close()


def message(at: datetime) -> Message:
    hours = at.hour + at.minute / 60
    warmth = 10.0 + 4.0 * math.sin((hours - 9) / 24 * math.tau) + 0.7 * math.sin(hours * 5)
    lux = 400.0 + 10 * math.sin(hours) if 6 <= at.hour < 18 else 0.2 * (1 + math.sin(hours))
    # The light first: watch takes the measures of a message in their order.
    told = [{"bn": "th-1:", "n": "illuminance", "u": "lx", "v": round(lux, 2)}]
    told.append({"n": "temperature", "u": "Cel", "v": round(warmth, 2)})
    return Message(
        topic="clutchweather/th-1/senml", payload=json.dumps(told).encode(), received_at=at
    )


def past(shed: KeptShed, place: str = "shed") -> LimitPast:
    readings = shed.stores.readings
    return LimitPast(readings, shed.settings(), place, Quantity.TEMPERATURE, NOW)


@pytest.mark.parametrize("limit_id", LIMITS)
def test_it_would_have_said_what_watch_did_say(shed: KeptShed, limit_id: str) -> None:
    alarms = shed.stores.records.alarms.alarms(None, None)
    said = [(one.raised_at, one.cleared_at) for one in alarms if one.rule == limit_id]
    found = past(shed).would_have_said(LIMITS[limit_id])
    assert said
    assert [(one.since, one.until) for one in found.spells] == said[::-1]


def test_how_much_was_measured_and_how_far_it_went_is_told(shed: KeptShed) -> None:
    found = past(shed).would_have_said(MILD)
    assert found.until - found.since == LAST_MONTH
    assert found.heard == timedelta(hours=30)
    assert found.lowest is not None
    assert found.highest is not None
    assert 5 < found.lowest < 6
    assert 14 < found.highest < 15


def test_the_days_of_the_month_are_those_of_the_shed(shed: KeptShed) -> None:
    found = past(shed).days()
    assert [one.day for one in found] == [date(2026, 4, 20), date(2026, 4, 21)]
    assert all(one.least < one.most for one in found)


def test_where_nothing_was_measured_nothing_is_said_of_it(shed: KeptShed) -> None:
    found = past(shed, "box-1").would_have_said(replace(MILD, place="box-1"))
    assert (found.heard, found.spells, found.lowest) == (timedelta(0), (), None)
