"""Corrections hold from their instant on, and never before it."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from devices.reading import Quantity, Reading
from service.quality.correction import Correction, Corrections

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
SLOPES = st.floats(min_value=0.8, max_value=1.2)
OFFSETS = st.floats(min_value=-20, max_value=20)
VALUES = st.floats(min_value=-60, max_value=130)


def correction(
    since: datetime, offset: float, *, device: str = "th-shed", slope: float = 1.0
) -> Correction:
    return Correction(
        device=device, quantity=Quantity.TEMPERATURE, since=since, slope=slope, offset=offset
    )


def reading(measured_at: datetime, *, received_at: datetime | None = None) -> Reading:
    return Reading(
        device="th-shed",
        place="shed",
        quantity=Quantity.TEMPERATURE,
        value=18.0,
        measured_at=measured_at,
        received_at=received_at or measured_at,
    )


@given(slope=SLOPES, offset=OFFSETS, raw=VALUES)
def test_the_raw_value_can_be_reckoned_back(slope: float, offset: float, raw: float) -> None:
    one = correction(NOON, offset, slope=slope)
    assert one.raw_of(one.applied_to(raw)) == pytest.approx(raw, abs=1e-9)


@given(early_s=st.integers(min_value=1, max_value=10**7))
def test_what_was_measured_before_stays_as_it_is_however_late_it_arrives(early_s: int) -> None:
    before = reading(NOON - timedelta(seconds=early_s), received_at=NOON + timedelta(hours=1))
    assert Corrections([correction(NOON, 0.5)]).applied_to(before) is before


def test_from_its_instant_on_a_value_is_corrected_and_the_raw_one_kept() -> None:
    corrected = Corrections([correction(NOON, 0.5)]).applied_to(reading(NOON))
    assert (corrected.value, corrected.raw) == (18.5, 18.0)


def test_a_later_correction_takes_over_and_is_applied_to_the_raw_value() -> None:
    both = Corrections([correction(NOON + timedelta(days=1), -0.2), correction(NOON, 0.5)])
    assert both.applied_to(reading(NOON + timedelta(hours=23))).value == 18.5
    assert both.applied_to(reading(NOON + timedelta(hours=25))).value == pytest.approx(17.8)


def test_of_two_of_one_instant_the_one_made_later_holds() -> None:
    both = Corrections([correction(NOON, 0.5), correction(NOON, 0.7)])
    assert both.applied_to(reading(NOON)).value == pytest.approx(18.7)


def test_another_sensor_is_not_corrected() -> None:
    other = reading(NOON)
    assert Corrections([correction(NOON, 0.5, device="th-2")]).applied_to(other) is other


def test_a_sensor_with_a_clock_that_nobody_believes_is_corrected_by_its_arrival() -> None:
    # A clock that begins in 1970 with every start stamps before any calibration.
    stamped = reading(datetime(1970, 1, 1, 0, 5, tzinfo=UTC), received_at=NOON)
    assert Corrections([correction(NOON, 0.5)]).applied_to(stamped).raw == 18.0
