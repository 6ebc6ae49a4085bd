"""What was the air of a night like?"""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from service.climate.night_air import (
    OF_SENSORS,
    NightAir,
    Series,
    SurfaceDoubt,
    SurfaceKnown,
)
from service.climate.night_summary import Counted, NightSummary, summarise_night
from service.climate.nights import Night
from service.climate.samples import samples
from tests.service.climate.kept import FAIL, MISSING, SUSPECT, Kept, every, without

EVENING = datetime(2026, 3, 1, 20, tzinfo=UTC)
MORNING = datetime(2026, 3, 2, 6, tzinfo=UTC)
NIGHT = Night(evening=date(2026, 3, 1), since=EVENING, until=MORNING, bounds="measured")
MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)
MAX_GAP = timedelta(minutes=3)


def cooling(at: datetime) -> float:
    """10 °C at the start, a degree less every hour: 0 °C in the morning."""
    return 10.0 - (at - EVENING) / HOUR


def readings() -> list[Kept]:
    return every(MINUTE, EVENING - HOUR, MORNING + HOUR, cooling)


def series(kept: list[Kept]) -> Series:
    return Series(samples=samples(kept), max_gap=MAX_GAP)


def summed(
    temperatures: list[Kept],
    humidities: list[Kept] | None = None,
    *,
    night: Night = NIGHT,
    now: datetime = MORNING + HOUR,
) -> NightSummary:
    air = NightAir(temperature=series(temperatures), humidity=series(humidities or []))
    return summarise_night(night, air, Counted(below_c=[5.0, 2.0]), now=now)


def test_hours_below_count_the_time_below_each_setpoint_within_the_night() -> None:
    below = summed(readings()).hours_below
    # 10 - h < s from h = 10 - s on: s hours of ten, less the reading that is exactly s.
    assert below == {5.0: pytest.approx(5.0 - 1 / 60), 2.0: pytest.approx(2.0 - 1 / 60)}


def test_the_lowest_reading_of_the_night_is_told_with_its_time() -> None:
    summary = summed(readings())
    assert summary.low_c == pytest.approx(1 / 60)
    assert summary.low_at == MORNING - MINUTE
    assert summary.coverage == 1.0


def test_a_gap_counts_neither_as_below_nor_as_covered() -> None:
    kept = without(readings(), EVENING + 6 * HOUR, EVENING + 8 * HOUR)
    summary = summed(kept)
    # The last reading before the gap, of 5:59, holds for three minutes.
    assert summary.hours_below[5.0] == pytest.approx(5.0 - 1 / 60 - 2.0 + 2 / 60)
    assert summary.coverage == pytest.approx(0.8 + 2 / 600)


@pytest.mark.parametrize("flag", [FAIL, MISSING])
def test_readings_flagged_fail_or_missing_do_not_count(flag: int) -> None:
    kept = [
        replace(one, value=-40.0, flag=flag) if i % 2 else one for i, one in enumerate(readings())
    ]
    summary = summed(kept)
    assert summary.low_c is not None
    assert summary.low_c >= 0.0
    assert summary.coverage == 1.0


def test_suspect_readings_count() -> None:
    kept = readings()
    kept[300] = replace(kept[300], value=-3.0, flag=SUSPECT)
    assert summed(kept).low_c == -3.0


def test_the_reading_before_the_night_holds_into_it() -> None:
    kept = [Kept(measured_at=EVENING - MINUTE, value=4.0)]
    summary = summed(kept)
    assert summary.hours_below[5.0] == pytest.approx(2 / 60)
    assert summary.low_c is None


def test_without_readings_nothing_is_told_and_nothing_is_covered() -> None:
    summary = summed([])
    assert (summary.low_c, summary.low_at, summary.rh_max_pct) == (None, None, None)
    assert summary.dew_margin_min_c is None
    assert summary.coverage == 0.0
    assert summary.hours_below == {5.0: 0.0, 2.0: 0.0}


def test_condensation_is_unknown_while_no_surface_is_measured() -> None:
    assert summed(readings()).condensation_min is None


def test_the_dew_margin_is_how_far_the_air_was_above_its_dew_point() -> None:
    warmth = every(MINUTE, EVENING, MORNING, lambda _: 18.0)
    damp = every(MINUTE, EVENING, MORNING, lambda at: 65.0 if at == EVENING + HOUR else 50.0)
    summary = summed(warmth, damp)
    # 18 °C, 65 %: dew point 11.330 °C by PsychroLib 2.5.0 and CoolProp 8.0.0.
    assert summary.dew_margin_min_c == pytest.approx(18.0 - 11.330, abs=0.05)
    assert summary.rh_max_pct == 65.0


def test_hours_above_count_the_time_above_each_humidity() -> None:
    damp = every(MINUTE, EVENING, MORNING, lambda at: 85.0 if at < EVENING + 3 * HOUR else 80.0)
    air = NightAir(temperature=series(readings()), humidity=series(damp))
    told = summarise_night(NIGHT, air, Counted(above_pct=[70.0, 80.0, 90.0]), now=MORNING + HOUR)
    assert told.hours_above == {70.0: pytest.approx(10.0), 80.0: pytest.approx(3.0), 90.0: 0.0}
    assert (told.rh_max_pct, told.rh_max_at) == (85.0, EVENING)
    assert told.humidity_coverage == 1.0


def test_the_fastest_fall_is_over_half_an_hour_and_told_with_its_beginning() -> None:
    def warmth(at: datetime) -> float:
        minutes = (at - EVENING - 2 * HOUR) / MINUTE
        return 12.0 - min(40.0, max(0.0, minutes)) / 20.0  # 2 K in 40 min: 3 K/h

    told = summed(every(MINUTE, EVENING, MORNING, warmth))
    assert told.fall_max_k_per_h == pytest.approx(3.0)
    assert told.fall_max_at is not None
    assert EVENING + 2 * HOUR <= told.fall_max_at <= EVENING + 2 * HOUR + 10 * MINUTE


def test_one_odd_reading_makes_half_an_hour_no_steeper_than_it_was() -> None:
    odd = EVENING + 3 * HOUR
    told = summed(every(MINUTE, EVENING, MORNING, lambda at: 9.7 if at == odd else 10.0))
    assert told.fall_max_k_per_h == pytest.approx(0.6)  # 0.3 K in half an hour


def test_no_fall_is_told_across_a_gap_nor_of_less_than_half_an_hour() -> None:
    early = every(MINUTE, EVENING, EVENING + 20 * MINUTE, lambda _: 12.0)
    late = every(MINUTE, EVENING + HOUR, EVENING + HOUR + 20 * MINUTE, lambda _: 2.0)
    assert summed([*early, *late]).fall_max_k_per_h is None


def test_a_night_that_only_grew_warmer_fell_by_nothing() -> None:
    told = summed(every(MINUTE, EVENING, MORNING, lambda at: (at - EVENING) / HOUR))
    assert told.fall_max_k_per_h == 0.0


def with_surface(
    surface_c: float, known: SurfaceKnown, doubt: SurfaceDoubt, *, until: datetime = MORNING
) -> NightSummary:
    """Air of 18 °C and 65 %, dew point 11.330 °C by PsychroLib 2.5.0, over a surface."""
    begin = EVENING - HOUR
    air = NightAir(
        temperature=series(every(MINUTE, begin, MORNING, lambda _: 18.0)),
        humidity=series(every(MINUTE, begin, MORNING, lambda _: 65.0)),
        surface=series(every(MINUTE, begin, until, lambda _: surface_c)),
        known=known,
        doubt=doubt,
    )
    return summarise_night(NIGHT, air, Counted(), now=MORNING + HOUR)


def test_a_measured_surface_below_the_dew_point_is_wet_all_night() -> None:
    told = with_surface(11.0, "measured", OF_SENSORS)
    assert told.surface == "measured"
    assert told.surface_margin_min_c == pytest.approx(11.0 - 11.330, abs=0.05)
    assert told.condensation_min == 600.0
    assert told.surface_coverage == 1.0


def test_a_surface_known_for_half_a_night_is_covered_for_half() -> None:
    told = with_surface(11.0, "measured", OF_SENSORS, until=EVENING + 5 * HOUR)
    assert told.surface_coverage == pytest.approx(0.5, abs=0.01)
    assert told.condensation_min == pytest.approx(300.0, abs=4.0)


def test_a_reckoned_surface_that_a_clear_sky_would_wet_is_told_neither_wet_nor_dry() -> None:
    told = with_surface(12.5, "reckoned", SurfaceDoubt(colder_k=2.0))
    assert told.condensation_min is None
    assert (told.condensation_least_min, told.condensation_most_min) == (0.0, 600.0)


def test_a_reckoned_surface_that_no_sky_would_wet_is_told_dry() -> None:
    assert with_surface(15.0, "reckoned", SurfaceDoubt(colder_k=2.0)).condensation_min == 0.0


def test_a_surface_that_nobody_knew_that_night_is_not_told() -> None:
    told = with_surface(11.0, "measured", OF_SENSORS, until=EVENING - HOUR)
    assert (told.surface, told.condensation_min, told.condensation_most_min) == (None, None, None)
    assert told.surface_coverage == 0.0


def test_humidity_is_not_paired_with_a_temperature_from_before_a_gap() -> None:
    warmth = [Kept(measured_at=EVENING, value=18.0)]
    damp = [Kept(measured_at=EVENING + 2 * MAX_GAP, value=65.0)]
    summary = summed(warmth, damp)
    assert summary.dew_margin_min_c is None
    assert summary.rh_max_pct == 65.0


def test_a_humidity_that_no_air_has_makes_no_dew_point() -> None:
    warmth = every(MINUTE, EVENING, MORNING, lambda _: 18.0)
    assert summed(warmth, [Kept(measured_at=EVENING, value=0.0)]).dew_margin_min_c is None


@pytest.mark.parametrize("air_c", [-95.0, 120.0])
def test_a_temperature_beyond_the_formula_makes_no_dew_point(air_c: float) -> None:
    warmth = every(MINUTE, EVENING, MORNING, lambda _: air_c)
    told = summed(warmth, every(MINUTE, EVENING, MORNING, lambda _: 65.0))
    assert told.dew_margin_min_c is None
    assert told.low_c == air_c


def test_a_night_that_goes_on_is_summed_up_until_now() -> None:
    summary = summed(readings(), night=replace(NIGHT, until=None), now=EVENING + 6 * HOUR)
    assert summary.hours_below[5.0] == pytest.approx(1.0 - 1 / 60)
    assert summary.coverage == 1.0


def test_a_night_that_begins_now_has_no_coverage() -> None:
    assert summed([], night=replace(NIGHT, until=None), now=EVENING).coverage == 0.0
