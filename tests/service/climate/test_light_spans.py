"""Light and dark out of a light sensor's readings."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from service.climate.light_spans import LightSource, LightSpan, light_spans
from service.climate.samples import Sample, ms_of

MINUTE = timedelta(minutes=1)
GAP = 3 * MINUTE
MIDNIGHT = datetime(2026, 1, 10, tzinfo=UTC)
LAMPS, DAYLIGHT = LightSource.LAMPS, LightSource.DAYLIGHT


def at(hour: float) -> datetime:
    return MIDNIGHT + timedelta(hours=hour)


def told(light: Callable[[float], float], *, step: timedelta = MINUTE) -> list[Sample]:
    """Readings of a day, by the light at each hour."""
    times = (MIDNIGHT + k * step for k in range(timedelta(days=1) // step))
    return [(ms_of(one), light((one - MIDNIGHT) / timedelta(hours=1))) for one in times]


def spans(samples: list[Sample], *, gap: timedelta = GAP) -> tuple[LightSpan, ...]:
    return light_spans(samples, 20.0, max_gap=gap, until=at(24))


def by_lamps(hour: float) -> float:
    """From 06:30 to 20:30, full after half an hour in fifteen steps."""
    if not 6.5 <= hour < 20.5:
        return 0.0
    up, down = int((hour - 6.5) * 30 + 1e-6) + 1, int((20.5 - hour) * 30 - 1e-6) + 1
    return min(1.0, up / 15, down / 15) * 450


def by_day(hour: float) -> float:
    """A slow dawn and dusk: five times as bright in a quarter of an hour."""
    return 400.0 * 5.0 ** min(0.0, 4 * min(hour - 9, 16 - hour)) if 6 < hour < 19 else 0.0


def test_without_a_reading_there_is_no_span() -> None:
    assert spans([]) == ()


def test_light_begins_and_ends_at_the_first_reading_of_each() -> None:
    dark, light, after = spans(told(by_lamps))
    assert (dark.lit, light.lit, after.lit) == (False, True, False)
    assert (light.since, light.until) == (at(6.5), at(20.5))
    assert (dark.since, after.until) == (at(0), at(24))


def test_lamps_that_dim_are_told_from_a_slow_dawn() -> None:
    assert [one.began_by for one in spans(told(by_lamps))] == [None, LAMPS, LAMPS]
    assert [one.began_by for one in spans(told(by_day))] == [None, DAYLIGHT, DAYLIGHT]


def test_between_readings_far_apart_nobody_can_tell_what_brought_the_light() -> None:
    quarter = 15 * MINUTE
    found = spans(told(by_lamps, step=quarter), gap=3 * quarter)
    assert [one.began_by for one in found] == [None, None, None]
    assert found[1].since == at(6.5)


def test_a_light_that_hovers_about_the_threshold_does_not_flicker() -> None:
    light = told(lambda hour: 0.0 if hour < 6 else 19.0 + 2.0 * (int(hour * 60) % 2))
    assert [one.lit for one in spans(light)] == [False, True]


def test_a_hand_before_the_sensor_and_a_torch_are_no_change() -> None:
    touched = [
        (
            ms,
            {at(12): 0.0, at(2): 300.0}.get(
                MIDNIGHT + timedelta(milliseconds=ms - ms_of(at(0))), lux
            ),
        )
        for ms, lux in told(by_lamps)
    ]
    assert spans(touched) == spans(told(by_lamps))


def test_two_minutes_of_light_at_night_are_a_change() -> None:
    lit = told(lambda hour: 300.0 if 2.0 <= hour < 2.0 + 2.5 / 60 else by_lamps(hour))
    assert [one.lit for one in spans(lit)] == [False, True, False, True, False]


def test_a_gap_parts_two_spans_and_hides_what_began_the_second() -> None:
    heard = [(ms, lux) for ms, lux in told(by_lamps) if not ms_of(at(6)) <= ms < ms_of(at(8))]
    dark, light, _ = spans(heard)
    assert dark.until == at(6) - MINUTE + GAP
    assert (light.since, light.began_by) == (at(8), None)


@pytest.mark.parametrize("until", [at(3), at(12)], ids=["by night", "by day"])
def test_nothing_after_the_end_of_what_is_known_is_told(until: datetime) -> None:
    found = light_spans(told(by_lamps), 20.0, max_gap=GAP, until=until)
    assert found[-1].until == until


def test_lamps_that_go_while_daylight_lingers_did_not_bring_the_dark() -> None:
    def light(hour: float) -> float:
        # Falling by a third in ten minutes, it is dark a quarter of an hour after the lamps.
        daylight: float = 26.0 * (2 / 3) ** (6 * (hour - 20.25))
        return daylight + (450.0 if hour < 20.25 else 0.0)

    *_, dark = spans(told(light))
    assert not dark.lit
    assert dark.began_by is DAYLIGHT
