"""Lamps that go dark at a stroke, and how warm it was before."""

from datetime import UTC, datetime, timedelta

import pytest

from service.rules.power_cut import LampTrack, Stroke, Warmth, follow_lamps

START = datetime(2026, 2, 3, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


def after(*lux: float, meant_lit: bool = True, every: timedelta = MINUTE) -> LampTrack:
    track = LampTrack()
    for n, one in enumerate(lux):
        track = follow_lamps(
            track,
            START + n * every,
            one,
            meant_lit=meant_lit,
            threshold_lx=20.0,
            max_gap=3 * MINUTE,
        )
    return track


def test_lamps_that_go_out_between_two_readings_do_so_at_a_stroke() -> None:
    assert after(450.0, 450.0, 17.0).stroke == Stroke(at=START + 2 * MINUTE, again_lx=225.0)


def test_it_lasts_until_they_burn_again_whatever_light_the_day_brings() -> None:
    assert after(450.0, 17.0, 40.0, 100.0).stroke is not None
    assert after(450.0, 17.0, 40.0, 300.0).stroke is None


@pytest.mark.parametrize(
    "lux",
    [
        [450.0, 400.0, 300.0, 200.0, 100.0, 50.0, 20.0, 10.0],  # dimmed
        [450.0, 120.0],  # a cloud
        [50.0, 5.0],  # it was never lit
    ],
    ids=["dimmed", "cloud", "dusk"],
)
def test_what_fades_is_no_stroke(lux: list[float]) -> None:
    assert after(*lux).stroke is None


def test_lamps_that_go_off_by_plan_are_no_stroke() -> None:
    assert after(450.0, 0.0, meant_lit=False).stroke is None


def test_across_a_gap_nobody_saw_how_they_went() -> None:
    assert after(450.0, 0.0, every=10 * MINUTE).stroke is None


def test_the_lowest_before_is_of_three_hours() -> None:
    warmth = Warmth()
    for n in range(360):
        warmth.follow(START + n * MINUTE, 5.0 if n < 60 else 10.0 + (n % 40) / 40.0)
    assert warmth.lowest_before(START + 360 * MINUTE) == 10.0


def test_of_less_than_two_hours_nothing_is_said() -> None:
    warmth = Warmth()
    for n in range(100):
        warmth.follow(START + n * MINUTE, 10.0)
    assert warmth.lowest_before(START + 100 * MINUTE) is None
