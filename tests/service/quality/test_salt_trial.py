"""A trial in a jar: when it is ready, and when nobody can tell.

When a trial is ready is common practice, no source. What a salt holds is Greenspan 1977.
"""

import math
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

import pytest

from service.climate.salts import Salt
from service.quality.salt_trial import Progress, Sample, Stage, progress

START = datetime(2026, 4, 20, 18, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
SILENT_AFTER = timedelta(minutes=3)


def samples(hours: float, value: float = 77.7, every: timedelta = MINUTE) -> list[Sample]:
    """Steady from the start until so many hours later."""
    number = int(timedelta(hours=hours) / every)
    return [Sample(at=START + n * every, value=value) for n in range(number + 1)]


def after(
    hours: float,
    humidity: Sequence[Sample] | None = None,
    temperature: Sequence[Sample] | None = None,
    typed_c: float | None = None,
) -> Progress:
    return progress(
        salt=Salt.SODIUM_CHLORIDE,
        started_at=START,
        humidity=samples(hours) if humidity is None else humidity,
        temperature=samples(hours, 20.0) if temperature is None else temperature,
        typed_c=typed_c,
        silent_after=SILENT_AFTER,
        now=START + timedelta(hours=hours),
    )


def test_a_steady_trial_of_twelve_hours_is_ready_and_tells_what_it_came_to() -> None:
    told = after(12.0)
    assert told.stage is Stage.READY
    assert told.since == timedelta(hours=12)
    assert told.measured_pct == pytest.approx(77.7)
    assert told.spread_pct == pytest.approx(0.0)
    assert told.temperature_c == pytest.approx(20.0)
    # Greenspan 1977 by his fit: 75.48 % above sodium chloride at 20 °C; his table says
    # 75.47 +- 0.14 (from memory).
    assert told.target_pct == pytest.approx(75.48, abs=0.005)


def test_it_is_never_ready_before_twelve_hours() -> None:
    assert after(11.99).stage is Stage.STEADY


def test_it_settles_while_its_humidity_moves() -> None:
    humidity = [
        Sample(at=one.at, value=75 - 30 * math.exp(-(one.at - START) / timedelta(hours=6)))
        for one in samples(12.0)
    ]
    told = after(12.0, humidity)
    assert told.stage is Stage.SETTLING
    assert told.spread_pct is not None
    assert told.spread_pct > 0.5


def test_half_a_per_cent_is_steady_and_more_is_not() -> None:
    def with_a_step(step: float) -> list[Sample]:
        whole = samples(13.0, 75.0)
        return [*whole[:-5], *(Sample(at=one.at, value=75.0 + step) for one in whole[-5:])]

    assert after(13.0, with_a_step(0.5)).stage is Stage.READY
    assert after(13.0, with_a_step(0.51)).stage is Stage.SETTLING


def test_a_jar_that_is_warmed_is_not_steady() -> None:
    warm = [
        Sample(at=one.at, value=20 + 1.2 * (one.at - START) / timedelta(hours=1))
        for one in samples(13.0)
    ]
    told = after(13.0, temperature=warm)
    assert told.stage is Stage.SETTLING
    assert "temperature moved by 1.2 °C" in told.why


def test_a_silent_sensor_can_not_be_told() -> None:
    told = after(13.0, samples(12.9))
    assert told.stage is Stage.CANNOT_TELL
    assert "silent" in told.why


def test_a_silence_within_the_last_hour_can_not_be_told() -> None:
    whole = samples(13.0)
    assert after(13.0, [*whole[:-30], *whole[-20:]]).stage is Stage.CANNOT_TELL


def test_nothing_heard_can_not_be_told() -> None:
    told = after(13.0, [])
    assert told.stage is Stage.CANNOT_TELL
    assert told.measured_pct is None


def test_without_a_temperature_it_can_not_be_told_until_one_is_typed() -> None:
    assert after(13.0, temperature=[]).stage is Stage.CANNOT_TELL
    typed = after(13.0, temperature=[], typed_c=25.0)
    assert typed.stage is Stage.READY
    # Greenspan's table: 75.29 +- 0.12 at 25 °C (from memory).
    assert typed.target_pct == pytest.approx(75.29, abs=0.12)


def test_a_frozen_jar_is_no_reference() -> None:
    told = after(13.0, temperature=samples(13.0, -1.0))
    assert told.stage is Stage.CANNOT_TELL
    assert told.target_pct is None


def test_what_was_measured_before_the_start_counts_for_nothing() -> None:
    before = [Sample(at=START - n * MINUTE, value=40.0) for n in range(1, 60)]
    told = after(0.2, [*before, *samples(0.2)])
    assert told.stage is Stage.SETTLING
    assert told.measured_pct == pytest.approx(77.7)


def test_a_sensor_that_has_just_been_put_in_is_not_steady() -> None:
    assert after(0.9).stage is Stage.SETTLING
