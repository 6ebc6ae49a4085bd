"""What a limit would have said over stored readings, against the following of every reading."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from devices.reading import Quantity
from service.climate.samples import FlaggedSample, at_ms, ms_of
from service.quality.flag import Flag
from service.rules.follow import assess, changes, follow, starting
from service.rules.limit import Limit, When
from service.rules.what_if import Spell, spells, together

NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
GAP = 3 * MINUTE
COLD = Limit(
    id="cold",
    place="shed",
    quantity=Quantity.TEMPERATURE,
    low=5.0,
    deadband=0.5,
    on_delay=10 * MINUTE,
    off_delay=15 * MINUTE,
)


def at(minutes: float) -> datetime:
    return NOON + minutes * MINUTE


def minutes_of(*values: float, flag: Flag = Flag.PASS) -> list[FlaggedSample]:
    return [(ms_of(at(minute)), value, int(flag)) for minute, value in enumerate(values)]


def said(limit: Limit, readings: list[FlaggedSample], now: datetime) -> tuple[Spell, ...]:
    return spells(limit, readings, lambda _: None, max_gap=GAP, now=now)


def test_a_cold_hour_is_one_spell_with_its_delays_and_its_worst() -> None:
    readings = minutes_of(*[6.0] * 10, *[4.0] * 30, *[3.2] * 30, *[7.0] * 60)
    found = said(COLD, readings, at(130))
    assert found == (Spell(since=at(20), until=at(85), worst=3.2),)


def test_a_spell_that_is_not_over_has_no_end() -> None:
    readings = minutes_of(*[4.0] * 20, *[3.0] * 5)
    assert said(COLD, readings, at(24)) == (Spell(since=at(10), until=None, worst=3.0),)


def test_a_setpoint_moved_past_the_readings_says_nothing() -> None:
    readings = minutes_of(*[4.0] * 60)
    lower = Limit(id="cold", place="shed", quantity=Quantity.TEMPERATURE, low=3.9)
    assert said(lower, readings, at(60)) == ()


def test_doubtful_readings_give_no_all_clear() -> None:
    readings = minutes_of(*[4.0] * 20)
    doubtful = [(ms_of(at(20 + n)), 9.0, int(Flag.SUSPECT)) for n in range(60)]
    assert [one.until for one in said(COLD, [*readings, *doubtful], at(80))] == [None]


def test_a_limit_of_the_night_says_nothing_of_the_day() -> None:
    night = Limit(id="cold", place="shed", quantity=Quantity.TEMPERATURE, low=5.0, when=When.NIGHT)
    readings = minutes_of(*[4.0] * 60)
    dark_from = ms_of(at(30))
    found = spells(night, readings, lambda ms: ms >= dark_from, max_gap=GAP, now=at(60))
    assert found == (Spell(since=at(30), until=None, worst=4.0),)


def test_several_sensors_speak_as_one() -> None:
    first = (Spell(since=at(0), until=at(30), worst=4.0), Spell(since=at(60), until=None, worst=3))
    second = (Spell(since=at(10), until=at(40), worst=3.5),)
    assert together([first, second], high=False) == (
        Spell(since=at(0), until=at(40), worst=3.5),
        Spell(since=at(60), until=None, worst=3),
    )


VALUES = st.sampled_from([3.0, 4.9, 5.0, 5.4, 5.5, 7.0])
FLAGS = st.sampled_from([Flag.PASS, Flag.PASS, Flag.PASS, Flag.SUSPECT, Flag.FAIL])
STEPS = st.sampled_from([1, 1, 1, 2, 4, 30])


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.tuples(STEPS, VALUES, FLAGS), max_size=60),
    st.sampled_from([0, 2, 6]),
    st.sampled_from([0, 3]),
)
def test_nothing_is_lost_by_passing_over_what_changes_nothing(
    told: list[tuple[int, float, Flag]], on_min: int, off_min: int
) -> None:
    limit = Limit(
        id="cold",
        place="shed",
        quantity=Quantity.TEMPERATURE,
        low=5.0,
        deadband=0.5,
        on_delay=on_min * MINUTE,
        off_delay=off_min * MINUTE,
    )
    minute, readings = 0, []
    for step, value, flag in told:
        minute += step
        readings.append((ms_of(at(minute)), value, int(flag)))
    now = at(minute + 10)
    found = [(one.since, one.until) for one in said(limit, readings, now)]
    assert found == followed_one_by_one(limit, readings, now)


def followed_one_by_one(
    limit: Limit, readings: list[FlaggedSample], now: datetime
) -> list[tuple[datetime, datetime | None]]:
    found: list[tuple[datetime, datetime | None]] = []
    tracks = [starting(False)]
    for ms, value, flag in readings:
        tracks.append(
            follow(
                tracks[-1],
                limit,
                at=at_ms(ms),
                value=value,
                flag=Flag(flag),
                in_force=True,
                max_gap=GAP,
            )
        )
    tracks.append(assess(tracks[-1], limit, now, GAP).track)
    for before, after in pairwise(tracks):
        for change in changes(before, after):
            if change.active:
                found.append((change.at, None))
            else:
                found[-1] = (found[-1][0], change.at)
    return found


@pytest.mark.parametrize("high", [True, False])
def test_no_spells_are_none_together(high: bool) -> None:
    assert together([(), ()], high=high) == ()
