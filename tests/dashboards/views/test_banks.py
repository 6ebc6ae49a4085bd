"""The channel and the limits agree: between the banks is within both limits, and only there."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.views.banks import AirLimits, air_moment, limits_at
from devices.reading import Quantity
from service.rules.limit import Limit, When

AT = datetime(2026, 4, 21, 12, 0, tzinfo=UTC)
LIMITS = AirLimits(cold_c=5.0, hot_c=28.0, damp_pct=80.0, dry_pct=40.0)


@given(
    temperature_c=st.floats(min_value=-20, max_value=45),
    humidity_pct=st.floats(min_value=1, max_value=100),
)
def test_thread_is_between_the_banks_exactly_when_the_air_is_within_its_limits(
    temperature_c: float, humidity_pct: float
) -> None:
    near = min(
        abs(temperature_c - 5),
        abs(temperature_c - 28),
        abs(humidity_pct - 80),
        abs(humidity_pct - 40),
    )
    if near < 1e-6:
        return
    moment = air_moment(AT, temperature_c, humidity_pct, LIMITS)
    within = 5 < temperature_c < 28 and 40 < humidity_pct < 80
    spare = moment.spare_c
    assert spare is not None
    assert (spare > 0) is within


def test_air_at_the_damp_limit_lies_on_the_lower_bank() -> None:
    moment = air_moment(AT, 12.0, 80.0, LIMITS)
    assert moment.low_c == pytest.approx(12.0, abs=1e-9)
    assert moment.side == "damp"


def test_very_dry_air_closes_the_channel() -> None:
    # With these limits no temperature is safe below a dew point of about -7.5 °C.
    assert air_moment(AT, 10.0, 20.0, LIMITS).closed


def test_without_humidity_no_damp_bank_is_guessed() -> None:
    moment = air_moment(AT, 12.0, None, AirLimits(damp_pct=80.0))
    assert moment.low_c is None
    assert moment.spare_c is None


@pytest.mark.parametrize("humidity_pct", [0.0, -3.0, 105.0, 400.0])
def test_a_humidity_that_cannot_be_still_draws(humidity_pct: float) -> None:
    assert air_moment(AT, 12.0, humidity_pct, LIMITS).low_c is not None


def test_a_night_limit_holds_where_nobody_knows_the_light() -> None:
    limit = Limit(id="n", place="shed", quantity=Quantity.TEMPERATURE, low=8.0, when=When.NIGHT)
    assert limits_at([limit], "shed", dark=None).cold_c == 8.0
    assert limits_at([limit], "shed", dark=True).cold_c == 8.0
    assert limits_at([limit], "shed", dark=False).cold_c is None


def test_a_limit_of_another_place_makes_no_bank() -> None:
    limit = Limit(id="n", place="box-1", quantity=Quantity.TEMPERATURE, low=8.0)
    assert not limits_at([limit], "shed", dark=None).any


def test_of_two_limits_the_tighter_one_makes_the_bank() -> None:
    both = [
        Limit(id=str(low), place="shed", quantity=Quantity.TEMPERATURE, low=low)
        for low in (4.0, 9.0)
    ]
    assert limits_at(both, "shed", dark=None).cold_c == 9.0
