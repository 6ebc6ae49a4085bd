"""One limit on one sensor's readings."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from devices.reading import Quantity
from service.climate.light_state import Light
from service.quality.flag import Flag
from service.rules.follow import (
    Assessed,
    Change,
    Track,
    assess,
    changes,
    follow,
    in_force,
    next_deadline,
    starting,
)
from service.rules.limit import Assessment, Limit, When

START = datetime(2026, 3, 1, 22, tzinfo=UTC)
MAX_GAP = timedelta(seconds=30)

# The worked case: high limit 30, deadband 1, on-delay 60 s, off-delay 30 s.
HIGH = Limit(
    id="hot",
    place="shed",
    quantity=Quantity.TEMPERATURE,
    high=30.0,
    deadband=1.0,
    on_delay=timedelta(seconds=60),
    off_delay=timedelta(seconds=30),
)
LOW = replace(HIGH, id="cold", high=None, low=5.0)
HOT, WARM, FINE = 30.5, 29.5, 28.9

Sample = tuple[float, float, Flag]  # seconds, value, flag


def s(seconds: float) -> datetime:
    return START + timedelta(seconds=seconds)


def run(
    track: Track, samples: Iterable[Sample], limit: Limit = HIGH, *, held: bool = True
) -> Track:
    for at, value, flag in samples:
        track = follow(
            track, limit, at=s(at), value=value, flag=flag, in_force=held, max_gap=MAX_GAP
        )
    return track


def each_10_s(since: int, *values: float, flag: Flag = Flag.PASS) -> list[Sample]:
    return [(since + 10 * i, value, flag) for i, value in enumerate(values)]


def at(track: Track, seconds: float, limit: Limit = HIGH) -> Assessed:
    return assess(track, limit, s(seconds), MAX_GAP)


def active_since_60() -> Track:
    return run(Track(), each_10_s(0, *[HOT] * 7))


# On-delay, deadband and off-delay as OPC 10000-9 (annex B.1.5) and IEC 62682 describe them;
# the times are worked by hand from those descriptions.


def test_a_breach_shorter_than_the_on_delay_never_raises() -> None:
    track = run(Track(), [*each_10_s(0, *[HOT] * 6), (60, 29.0, Flag.PASS)])
    assert at(track, 60).assessment is Assessment.CLEAR
    assert next_deadline(track, HIGH, MAX_GAP) is None
    assert not run(track, each_10_s(70, *[HOT] * 6)).active


def test_a_breach_of_the_on_delay_raises_at_exactly_its_end() -> None:
    assert not run(Track(), each_10_s(0, *[HOT] * 6)).active
    track = active_since_60()
    assert (track.active, track.raised_at) == (True, s(60))
    assert track.breached_since == s(0)


def test_inside_the_deadband_an_active_limit_stays_active_for_ever() -> None:
    track = run(active_since_60(), each_10_s(70, *[WARM] * 1000))
    assert at(track, 10_060).assessment is Assessment.BREACHED
    assert track.cleared_at is None


def test_only_an_unbroken_off_delay_past_the_deadband_clears() -> None:
    track = run(active_since_60(), each_10_s(70, FINE, FINE, FINE, WARM, FINE, FINE, FINE))
    assert track.active  # 20 s of fine, then warm, then 20 s of fine
    track = run(track, each_10_s(140, FINE))
    assert (track.active, track.cleared_at) == (False, s(140))
    assert track.raised_at == s(60)


def test_a_limit_of_100_with_a_deadband_of_2_percent_clears_below_98() -> None:
    # As published on a help page for limit tests: alarm above 100, deadband 2 %, clear below 98.
    limit = replace(HIGH, high=100.0, deadband=2.0, on_delay=timedelta(0), off_delay=timedelta(0))
    assert not run(Track(), [(0, 100.0, Flag.PASS)], limit).active
    track = run(Track(), [(0, 100.1, Flag.PASS)], limit)
    assert track.active
    assert run(track, [(10, 98.1, Flag.PASS)], limit).active
    assert not run(track, [(10, 97.9, Flag.PASS)], limit).active


def test_a_low_limit_mirrors_a_high_one() -> None:
    track = run(Track(), each_10_s(0, *[4.9] * 7), LOW)
    assert (track.active, track.raised_at) == (True, s(60))
    assert run(track, each_10_s(70, *[5.9] * 10), LOW).active
    cleared = run(track, each_10_s(70, *[6.0] * 4), LOW)
    assert (cleared.active, cleared.cleared_at) == (False, s(100))


def test_the_setpoint_itself_is_no_breach() -> None:
    assert not run(Track(), each_10_s(0, *[30.0] * 10)).active
    assert not run(Track(), each_10_s(0, *[5.0] * 10), LOW).active


def test_a_value_on_the_good_side_resets_the_on_delay_even_inside_the_deadband() -> None:
    track = run(Track(), each_10_s(0, HOT, HOT, HOT, HOT, HOT, 29.9, HOT))
    assert track.breached_since == s(60)
    assert not run(track, each_10_s(70, *[HOT] * 5)).active
    assert run(track, each_10_s(70, *[HOT] * 6)).raised_at == s(120)


def test_without_delays_one_reading_raises_and_one_clears() -> None:
    limit = replace(HIGH, on_delay=timedelta(0), off_delay=timedelta(0))
    track = run(Track(), [(0, HOT, Flag.PASS)], limit)
    assert (track.active, track.raised_at) == (True, s(0))
    track = run(track, [(5, FINE, Flag.PASS)], limit)
    assert (track.active, track.cleared_at) == (False, s(5))


def test_a_breach_resets_the_off_delay() -> None:
    track = run(active_since_60(), each_10_s(70, FINE, FINE, FINE, HOT, FINE, FINE, FINE))
    assert track.active
    assert track.raised_at == s(60)


# Missing, doubtful and failed readings.


def test_a_hot_sensor_that_drops_every_second_sample_still_raises_on_time() -> None:
    track = run(Track(), [(t, HOT, Flag.PASS) for t in range(0, 80, 20)])
    assert track.raised_at == s(60)


@pytest.mark.parametrize(
    ("bad", "value"),
    [
        (Flag.FAIL, FINE),
        (Flag.MISSING, FINE),
        (Flag.SUSPECT, FINE),
        (Flag.NOT_EVALUATED, FINE),
        (Flag.PASS, float("nan")),
    ],
)
def test_a_hot_sensor_that_fails_at_every_second_sample_still_raises_on_time(
    bad: Flag, value: float
) -> None:
    samples = [(t, HOT, Flag.PASS) if t % 20 == 0 else (t, value, bad) for t in range(0, 70, 10)]
    assert run(Track(), samples).raised_at == s(60)


@pytest.mark.parametrize("flag", [Flag.FAIL, Flag.MISSING])
def test_failed_readings_raise_nothing(flag: Flag) -> None:
    track = run(Track(), each_10_s(0, *[HOT] * 100, flag=flag))
    assert track == Track()


def test_suspect_readings_raise() -> None:
    assert run(Track(), each_10_s(0, *[HOT] * 7, flag=Flag.SUSPECT)).raised_at == s(60)


def test_suspect_readings_inside_the_deadband_hold_up_the_all_clear() -> None:
    track = run(active_since_60(), each_10_s(70, FINE, FINE, FINE))
    track = run(track, [(95, WARM, Flag.SUSPECT)])
    assert run(track, each_10_s(100, FINE, FINE, FINE)).active


def test_silence_freezes_the_on_delay_and_does_not_reset_it() -> None:
    # 10 s between readings, 30 s into the silence, and the rest after it.
    track = run(Track(), [(0, HOT, Flag.PASS), (10, HOT, Flag.PASS), (1000, HOT, Flag.PASS)])
    assert track.breached_for == timedelta(seconds=40)
    assert next_deadline(track, HIGH, MAX_GAP) == s(1020)
    assert run(track, [(1010, HOT, Flag.PASS), (1020, HOT, Flag.PASS)]).raised_at == s(1020)


def test_the_on_delay_runs_past_the_last_reading_for_one_gap_at_most() -> None:
    track = run(Track(), each_10_s(0, *[HOT] * 4))  # 30 s so far
    assert next_deadline(track, HIGH, MAX_GAP) == s(60)
    assert not at(track, 59.9).active
    assert at(track, 60).raised_at == s(60)
    too_early = run(Track(), each_10_s(0, *[HOT] * 3))
    assert next_deadline(too_early, HIGH, MAX_GAP) is None
    assert not at(too_early, 10_000).active


def test_what_came_too_late_to_prevent_it_does_not_take_a_raised_limit_back() -> None:
    track = run(Track(), [*each_10_s(0, *[HOT] * 4), (60.1, FINE, Flag.PASS)])
    assert (track.active, track.raised_at) == (True, s(60))


def test_a_silent_sensor_can_not_tell_and_an_active_limit_stays_active() -> None:
    track = active_since_60()
    assert at(track, 90).assessment is Assessment.BREACHED
    told = at(track, 90.1)
    assert told.assessment is Assessment.CANNOT_TELL
    assert told.active
    assert told.value == HOT
    assert told.as_of == s(60)


def test_a_sensor_that_was_never_heard_can_not_tell() -> None:
    told = at(Track(), 0)
    assert (told.assessment, told.active, told.value) == (Assessment.CANNOT_TELL, False, None)


@pytest.mark.parametrize(
    ("flag", "value"),
    [
        (Flag.FAIL, FINE),
        (Flag.SUSPECT, FINE),
        (Flag.PASS, float("nan")),
        (Flag.PASS, -float("inf")),
    ],
)
def test_readings_that_tell_nothing_do_not_make_a_limit_clear(flag: Flag, value: float) -> None:
    track = run(Track(), each_10_s(0, *[value] * 100, flag=flag))
    assert at(track, 990).assessment is Assessment.CANNOT_TELL


def test_a_breach_whose_on_delay_still_runs_is_clear_and_tells_since_when() -> None:
    told = at(run(Track(), each_10_s(0, HOT, HOT)), 15)
    assert (told.assessment, told.active, told.breached_since) == (Assessment.CLEAR, False, s(0))


def test_the_off_delay_does_not_run_past_the_last_reading() -> None:
    track = run(active_since_60(), each_10_s(70, FINE, FINE, FINE))
    assert at(track, 100).active
    assert at(track, 10_000).active


def test_the_off_delay_counts_no_more_than_a_gap_between_two_readings() -> None:
    limit = replace(HIGH, off_delay=timedelta(seconds=60))
    track = run(active_since_60(), [(70, FINE, Flag.PASS), (5000, FINE, Flag.PASS)], limit)
    assert track.active
    assert run(track, [(5030, FINE, Flag.PASS)], limit).cleared_at == s(5030)


def test_readings_older_than_the_newest_change_nothing() -> None:
    track = active_since_60()
    assert run(track, each_10_s(0, *[FINE] * 7)) == track


# The light in which a limit holds.


def test_a_reading_outside_the_limits_light_counts_as_clear() -> None:
    track = run(active_since_60(), each_10_s(70, *[HOT] * 3), held=False)
    assert track.active
    track = run(track, each_10_s(100, HOT), held=False)
    assert (track.active, track.cleared_at) == (False, s(100))


def test_outside_the_limits_light_nothing_is_raised() -> None:
    assert not run(Track(), each_10_s(0, *[HOT] * 100), held=False).active


def test_outside_the_limits_light_doubtful_readings_clear_nothing() -> None:
    samples = each_10_s(70, *[HOT] * 100, flag=Flag.SUSPECT)
    assert run(active_since_60(), samples, held=False).active


@pytest.mark.parametrize(
    ("when", "is_night", "holds"),
    [
        (When.ALWAYS, True, True),
        (When.ALWAYS, False, True),
        (When.NIGHT, True, True),
        (When.NIGHT, False, False),
        (When.NIGHT, None, True),
        (When.DAY, True, False),
        (When.DAY, False, True),
        (When.DAY, None, True),
    ],
)
def test_a_limit_holds_in_its_light_and_where_no_night_can_be_known(
    when: When, *, is_night: bool | None, holds: bool
) -> None:
    light = Light(is_night=is_night, bounds=None if is_night is None else "measured")
    assert in_force(replace(HIGH, when=when), light) is holds


# What changed.


def test_changes_tell_when_a_limit_was_raised_and_cleared() -> None:
    before = run(Track(), each_10_s(0, *[HOT] * 6))
    raised = run(before, each_10_s(60, HOT))
    cleared = run(raised, each_10_s(70, *[FINE] * 4))
    assert changes(Track(), before) == ()
    assert changes(before, raised) == (Change(active=True, at=s(60)),)
    assert changes(raised, cleared) == (Change(active=False, at=s(100)),)
    assert changes(cleared, run(cleared, each_10_s(110, FINE))) == ()


def test_changes_tell_both_when_one_late_reading_raises_and_clears() -> None:
    limit = replace(HIGH, off_delay=timedelta(0))
    before = run(Track(), each_10_s(0, *[HOT] * 4), limit)
    after = run(before, [(65, FINE, Flag.PASS)], limit)
    assert changes(before, after) == (
        Change(active=True, at=s(60)),
        Change(active=False, at=s(65)),
    )


def test_an_alarm_kept_through_a_restart_is_cleared_by_readings_like_any_other() -> None:
    track = starting(active=True)
    assert at(track, 0).active
    cleared = run(track, each_10_s(0, *[FINE] * 4))
    assert changes(track, cleared) == (Change(active=False, at=s(30)),)


# Properties.

values = st.sampled_from([20.0, 28.9, 29.0, 29.5, 30.0, 30.5, 45.0, float("nan"), float("inf")])
flags = st.sampled_from([Flag.PASS, Flag.PASS, Flag.SUSPECT, Flag.FAIL, Flag.NOT_EVALUATED])
steps = st.sampled_from([-15.0, 0.0, 1.0, 7.5, 10.0, 29.0, 30.0, 31.0, 300.0])
lights = st.sampled_from([True, True, True, False])
Step = tuple[float, float, Flag, bool]
streams = st.lists(st.tuples(steps, values, flags, lights), max_size=60)


def walked(
    track: Track, stream: Sequence[Step], *, asking: bool = False, since: float = 0
) -> Track:
    clock = since
    for step, value, flag, held in stream:
        clock += step
        if asking and step > 0:
            track = assess(track, HIGH, s(clock - step / 2), MAX_GAP).track
        track = run(track, [(clock, value, flag)], held=held)
    return track


@given(streams)
def test_nothing_but_good_clear_readings_ever_clears_an_active_limit(stream: list[Step]) -> None:
    doubtful = [
        (step, value, Flag.SUSPECT if flag is Flag.PASS and value < 30.0 else flag, True)
        for step, value, flag, _ in stream
    ]
    track = walked(active_since_60(), doubtful, asking=True, since=60)
    assert track.active
    assert assess(track, HIGH, s(1e6), MAX_GAP).active


@given(streams)
def test_it_makes_no_difference_how_often_a_limit_is_assessed(stream: list[Step]) -> None:
    in_order = [(abs(step), value, flag, held) for step, value, flag, held in stream]
    end = s(sum(step for step, *_ in in_order))
    often, once = walked(Track(), in_order, asking=True), walked(Track(), in_order)
    assert assess(often, HIGH, end, MAX_GAP) == assess(once, HIGH, end, MAX_GAP)


def test_a_late_reading_does_not_clear_a_limit_before_it_was_raised() -> None:
    limit = replace(HIGH, off_delay=timedelta(0))
    raised = at(run(Track(), each_10_s(0, *[HOT] * 4), limit), 60, limit).track
    assert raised.raised_at == s(60)
    assert run(raised, [(50, FINE, Flag.PASS)], limit).cleared_at == s(60)


@given(streams, st.integers(0, 60))
def test_a_stream_followed_again_from_the_kept_state_ends_in_the_same_state(
    stream: list[Step], cut: int
) -> None:
    """A restart: the alarm state is kept, the stored readings are followed again."""
    kept = walked(Track(), stream[:cut])
    again, went_on = walked(starting(kept.active), stream), walked(Track(), stream)
    if kept.active or not went_on.active:
        assert again.active is went_on.active
    assert again.active or not went_on.active  # a restart loses no danger
    assert (again.last_at, again.standing) == (went_on.last_at, went_on.standing)
    if not (again.active or went_on.active):
        assert again.breached_for == went_on.breached_for
        assert next_deadline(again, HIGH, MAX_GAP) == next_deadline(went_on, HIGH, MAX_GAP)


@given(
    st.lists(st.floats(0.5, MAX_GAP / timedelta(seconds=1)), min_size=1, max_size=200),
    st.data(),
)
def test_a_breach_that_lasts_always_raises_at_the_end_of_the_on_delay(
    gaps: list[float], data: st.DataObject
) -> None:
    samples, clock = [(0.0, HOT, Flag.PASS)], 0.0
    for gap in gaps:
        clock += gap
        noise = data.draw(st.sampled_from([None, (FINE, Flag.FAIL), (FINE, Flag.SUSPECT)]))
        if noise:
            samples.append((clock - gap / 2, *noise))
        samples.append((clock, HOT, data.draw(st.sampled_from([Flag.PASS, Flag.SUSPECT]))))
    track = run(Track(), samples)
    assert track.active is (clock >= 60.0)
    if track.active:
        assert track.raised_at == s(60)


@given(streams)
def test_the_deadline_is_exactly_when_an_assessment_would_become_active(
    stream: list[Step],
) -> None:
    track = walked(Track(), stream)
    deadline = next_deadline(track, HIGH, MAX_GAP)
    if deadline is None:
        assert assess(track, HIGH, s(1e6), MAX_GAP).active is track.active
    else:
        assert not assess(track, HIGH, deadline - timedelta(microseconds=1), MAX_GAP).active
        assert assess(track, HIGH, deadline, MAX_GAP).raised_at == deadline


@given(streams, st.floats(0, 100))
def test_clear_is_never_said_of_an_active_limit_or_on_an_old_reading(
    stream: list[Step], later: float
) -> None:
    track = walked(Track(), stream)
    now = max(track.last_at or START, START) + timedelta(seconds=later)
    told = assess(track, HIGH, now, MAX_GAP)
    if told.assessment is Assessment.CLEAR:
        assert told.as_of is not None
        assert now - told.as_of <= MAX_GAP
        assert not told.active
