"""A reading judged by those before and beside it.

First what must never happen: a danger that a flag makes unseen, and a doubt that keeps an
all-clear waiting for what is well. Rules see PASS and SUSPECT, and clear by PASS alone.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from devices.reading import Quantity, Reading
from service.quality.doubt import Doubt, doubts_in
from service.quality.flag import Flag, Judged
from service.quality.judging import Judge, Surroundings

NOW = datetime(2026, 3, 1, 0, 0, tzinfo=UTC)
MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)
PASS, SUSPECT, FAIL = Flag.PASS, Flag.SUSPECT, Flag.FAIL
TEMPERATURE, HUMIDITY = Quantity.TEMPERATURE, Quantity.RELATIVE_HUMIDITY
SHED = Surroundings(
    shed_of={"shed": "shed", "box-1": "shed", "box-2": "shed", "box-3": "shed"},
    boxes=frozenset(("box-1", "box-2", "box-3")),
)


def said(
    value: float,
    at: datetime,
    quantity: Quantity = TEMPERATURE,
    *,
    place: str = "shed",
    received_at: datetime | None = None,
    raw: float | None = None,
) -> Reading:
    return Reading(
        device=f"th-{place}",
        place=place,
        quantity=quantity,
        value=value,
        measured_at=at,
        received_at=received_at or at,
        raw=raw,
    )


def minutes(
    values: Sequence[float], quantity: Quantity = TEMPERATURE, *, since: datetime = NOW
) -> list[Reading]:
    return [said(value, since + n * MINUTE, quantity) for n, value in enumerate(values)]


def judged(readings: Sequence[Reading], judge: Judge | None = None) -> list[Judged]:
    """In the end: with what was put right later."""
    judge = judge or Judge()
    stored: dict[tuple[str, Quantity, datetime], Judged] = {}
    for reading in readings:
        for one in (judge.judge(reading), *judge.take_rejudged()):
            stored[one.reading.device, one.reading.quantity, one.reading.measured_at] = one
    return list(stored.values())


def flags(readings: Sequence[Reading]) -> list[Flag]:
    return [one.flag for one in judged(readings)]


def breath(n: int) -> float:
    """The small stirring of air that lives [K]."""
    return 0.03 * (n % 5)


# No danger is muted.


@pytest.mark.parametrize(
    "heat",
    [
        [21, 24, 35, 60, 70, 80, 85, 86],
        [21, 40, 60, 75, 85, 95, 110, 120],
        [21, 48, 84.9, 85, 85.1, 90],
        [66, 85, 85, 90],
    ],
)
def test_a_fire_is_seen_at_every_reading(heat: list[float]) -> None:
    assert FAIL not in flags(minutes(heat))


def test_a_fire_in_one_of_many_places_is_seen() -> None:
    judge, found = Judge(surroundings=SHED), []
    for n in range(100 * 60):
        at = NOW + n * MINUTE
        hot = 0.0 if n < 99 * 60 else 2.0 * (n - 99 * 60)
        for place in SHED.shed_of:
            warm = 15.0 + breath(n + len(place)) + (hot if place == "box-2" else 0.0)
            found.append(judge.judge(said(warm, at, place=place)))
    assert FAIL not in {one.flag for one in found if one.reading.value <= 125.0}


def test_frost_through_an_opened_door_is_seen_and_cleared() -> None:
    door = [18 - 1.6 * n for n in range(15)] + [-4.4 + breath(n) for n in range(30)]
    shut = [-4.4 + 0.9 * n for n in range(20)] + [12.8 + breath(n) for n in range(30)]
    found = flags(minutes([*door, *shut]))
    assert FAIL not in found
    assert set(found[-30:]) == {PASS}


def test_lamps_that_are_switched_on_are_believed() -> None:
    lamps = [0.0] * 600 + [620.0 + n % 3 for n in range(30)] + [0.0] * 300
    assert set(flags(minutes(lamps, Quantity.ILLUMINANCE))) == {PASS}


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(st.integers(1, 40), st.floats(-40.0, 60.0).filter(lambda c: c != 85.0)),
        min_size=1,
        max_size=60,
    )
)
def test_nothing_that_air_can_be_is_muted_when_it_comes(steps: list[tuple[int, float]]) -> None:
    judge, at = Judge(), NOW
    for passed, value in steps:
        at += passed * MINUTE
        assert judge.judge(said(value, at)).flag is not FAIL


# No all-clear waits for nothing.


def test_a_coarse_sensor_in_still_air_is_not_stuck_for_hours() -> None:
    still = [8.0, 8.5, 8.0, *[8.5] * 235]
    assert set(flags(minutes(still))) == {PASS}


def test_a_coarse_sensor_teaches_how_long_it_is_usually_still() -> None:
    # Three hours again and again are its way: after them four and a half prove nothing.
    day = [*[8.0] * 180, *[8.5] * 180, *[8.0] * 180, *[8.5] * 270]
    assert set(flags(minutes(day))) == {PASS}


def test_lamps_in_a_shed_without_windows_are_as_bright_all_day_and_no_longer() -> None:
    day = [*[0.0] * 8, *[412.5] * 16]
    quarters = [value for _ in range(2) for value in day for _ in range(4)]
    never_dark = [*quarters, *[412.5] * 4 * 8]
    readings = [
        said(value, NOW + n * HOUR / 4, Quantity.ILLUMINANCE) for n, value in enumerate(never_dark)
    ]
    assert set(flags(readings[: len(quarters)])) == {PASS}
    assert flags(readings)[-1] is SUSPECT


def test_a_stuck_sensor_that_moves_again_is_believed_at_once() -> None:
    told = [8 + breath(n) for n in range(30)] + [8.0] * 200 + [8.3, 8.4]
    assert flags(minutes(told))[-3:] == [SUSPECT, PASS, PASS]


def test_after_a_jump_that_stays_the_new_value_is_believed() -> None:
    assert flags(minutes([8.0, 8.1, 18.0, 18.1, 18.0])) == [PASS, PASS, SUSPECT, PASS, PASS]


def test_weather_unlike_the_last_weeks_is_doubted_for_three_hours_at_most() -> None:
    past = [said(10 + 4 * (n % 24) / 24, NOW + n * HOUR) for n in range(10 * 24)]
    since = NOW + 10 * 24 * HOUR
    heat = [said(32.0 + breath(n), since + n * 10 * MINUTE) for n in range(40)]
    found = [one for one in judged([*past, *heat]) if one.flag is not PASS]
    assert {Doubt.UNUSUAL} <= set(doubts_in(found[0].reason))
    assert found[-1].reading.measured_at <= since + 3 * HOUR


def test_a_box_that_a_hen_warms_is_not_apart_from_the_shed() -> None:
    judge = Judge(surroundings=SHED)
    found = []
    for n in range(100 * 12):
        for place in SHED.shed_of:
            warmed = 20.0 if place == "box-2" and n > 90 * 12 else 0.0
            at = NOW + n * 5 * MINUTE
            found.append(judge.judge(said(15 + breath(n) + min(warmed, n / 10), at, place=place)))
    assert {one.flag for one in found[-200:]} == {PASS}


def test_a_battery_that_is_low_and_stays_there_lets_its_values_count() -> None:
    low = [said(4.0, NOW + n * HOUR, Quantity.BATTERY) for n in range(72)]
    judge = Judge()
    for one in low:
        judge.judge(one)
    assert judge.judge(said(15.0, NOW + 72 * HOUR)).flag is PASS


# By name.


@pytest.mark.parametrize("raw", [None, 85.0])
def test_85_of_a_thermometer_just_switched_on_fails(raw: float | None) -> None:
    shown = 85.0 if raw is None else 84.6
    told = [said(21.0, NOW), said(shown, NOW + MINUTE, raw=raw), said(21.0, NOW + 2 * MINUTE)]
    found = judged(told)
    assert [one.flag for one in found] == [PASS, FAIL, PASS]
    assert doubts_in(found[1].reason) == (Doubt.POWER_ON,)


def test_the_sensor_in_the_open_is_not_apart_when_hens_begin_to_sit_in_the_boxes_around() -> None:
    steps = 260
    told = [
        said(12.0 + breath(n) + (18.0 if place != "shed" and n > 230 else 0.0), at, place=place)
        for n in range(steps)
        for place in ("shed", "box-1", "box-2")
        for at in [NOW + n * HOUR / 3]
    ]
    judge = Judge([], SHED)
    of_shed = [one for one in judged(told, judge) if one.reading.place == "shed"]
    assert {one.flag for one in of_shed} == {PASS}


def test_85_as_the_first_word_fails_where_the_neighbours_are_cool() -> None:
    judge = Judge(surroundings=SHED)
    judge.judge(said(15.0, NOW, place="shed"))
    assert judge.judge(said(85.0, NOW, place="box-1")).flag is FAIL


def test_85_that_nothing_contradicts_stays_a_danger() -> None:
    assert flags([said(85.0, NOW)]) == [SUSPECT]


def test_humidity_at_its_end_is_doubted_after_an_hour() -> None:
    # Reports of makers' users: once wet, a sensor says 100 % for hours.
    found = judged(minutes([90, 94, 98, 99, *[100.0] * 70], HUMIDITY))
    doubted = [n for n, one in enumerate(found) if Doubt.WET in doubts_in(one.reason)]
    assert doubted == list(range(65, 74))
    assert {one.flag for one in found} <= {PASS, SUSPECT}


@pytest.mark.parametrize("before", [-10.0, 5.0, 20.0, 38.0])
def test_fahrenheit_is_doubted_as_long_as_it_lasts(before: float) -> None:
    celsius = [before + breath(n) for n in range(40)]
    mixed = [*celsius[:10], *[1.8 * one + 32 for one in celsius[10:30]], *celsius[30:]]
    found = judged(minutes(mixed))
    assert all(Doubt.FAHRENHEIT in doubts_in(one.reason) for one in found[10:30])
    assert {one.flag for one in found[31:]} == {PASS}


def test_values_of_a_battery_that_falls_fast_are_doubted() -> None:
    judge = Judge()
    for n, charge in enumerate((90, 70, 40, 20)):
        judge.judge(said(float(charge), NOW + n * HOUR, Quantity.BATTERY))
    found = judge.judge(said(15.0, NOW + 4 * HOUR))
    assert (found.flag, doubts_in(found.reason)) == (SUSPECT, (Doubt.BATTERY,))


def test_a_lone_spike_is_put_right_and_the_reading_after_it_is_good() -> None:
    assert flags(minutes([8.0, 8.1, 30.0, 8.1, 8.0])) == [PASS, PASS, FAIL, PASS, PASS]


def test_a_spike_is_suspect_while_nobody_knows_what_follows() -> None:
    judge = Judge()
    came = [judge.judge(one).flag for one in minutes([8.0, 8.1, 30.0])]
    assert (came, judge.take_rejudged()) == ([PASS, PASS, SUSPECT], [])


def test_a_minute_of_frost_between_seldom_readings_is_kept() -> None:
    told = [said(value, NOW + n * 10 * MINUTE) for n, value in enumerate((18.0, 2.0, 17.0, 17.1))]
    assert flags(told) == [PASS, SUSPECT, PASS, PASS]


def test_readings_far_apart_tell_of_no_spike() -> None:
    told = [said(value, NOW + n * HOUR) for n, value in enumerate((8.0, 14.0, 8.0))]
    assert set(flags(told)) == {PASS}


# What comes late, twice, or in vain.


def test_what_comes_late_or_again_disturbs_nothing() -> None:
    story = [8 + breath(n) for n in range(5)] + [8.0] * 80
    undisturbed = flags(minutes(story))
    judge, found = Judge(), []
    for n, one in enumerate(minutes(story)):
        found.append(judge.judge(one).flag)
        judge.judge(one)
        judge.judge(said(30.0, NOW - n * MINUTE))
        judge.judge(replace(one, value=40.0, measured_at=one.received_at - 30 * HOUR))
    assert found == undisturbed
    assert SUSPECT in found


def test_what_could_not_be_stored_is_judged_alike_again() -> None:
    story = [8 + breath(n) for n in range(5)] + [8.0] * 62 + [30.0, 8.0]
    judge, found = Judge(), []
    readings = minutes(story)
    for first in range(0, len(readings), 10):
        batch = readings[first : first + 10]
        for _ in range(3):
            for one in batch:
                judge.judge(one)
            judge.go_back()
        found += [judge.judge(one) for one in batch]
        rejudged = judge.take_rejudged()
        judge.keep()
    assert [one.flag for one in found] == [
        one.flag if n != len(story) - 2 else SUSPECT for n, one in enumerate(judged(readings))
    ]
    assert [one.reading.value for one in rejudged] == [30.0]
