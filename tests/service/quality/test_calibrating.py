"""Lines through references. The bounds are common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from devices.reading import Quantity
from service.errors import InputError
from service.quality.calibrating import Line, Point, line_through, offset_through

T, RH, MASS = Quantity.TEMPERATURE, Quantity.RELATIVE_HUMIDITY, Quantity.MASS


@given(raw=st.floats(0, 95), off=st.floats(-14.9, 14.9))
def test_an_offset_leads_from_the_raw_value_to_the_reference(raw: float, off: float) -> None:
    line = offset_through(RH, Point(raw=raw, reference=raw + off))
    assert line.slope == 1.0
    assert line.at(raw) == pytest.approx(raw + off)


@given(
    slope=st.floats(0.85, 1.15),
    offset=st.floats(-3, 3),
    low=st.floats(25, 40),
    high=st.floats(70, 85),
)
def test_a_line_gives_back_the_line_that_its_points_lie_on(
    slope: float, offset: float, low: float, high: float
) -> None:
    truth = Line(slope=slope, offset=offset)
    points = [Point(raw=raw, reference=truth.at(raw)) for raw in (low, high)]
    if any(abs(point.raw - point.reference) > 14.9 for point in points):
        return
    found = line_through(RH, *points)
    assert found.slope == pytest.approx(slope)
    assert found.offset == pytest.approx(offset, abs=1e-9)


@pytest.mark.parametrize(
    ("quantity", "raw", "reference"),
    [
        (T, 20.0, 25.1),
        (T, 20.0, 14.9),
        (RH, 50.0, 65.1),
        (MASS, 800.0, 900.0),
        (MASS, 6.0, 0.0),
    ],
)
def test_a_sensor_that_is_far_off_is_refused(
    quantity: Quantity, raw: float, reference: float
) -> None:
    with pytest.raises(InputError, match="broken"):
        offset_through(quantity, Point(raw=raw, reference=reference))


@pytest.mark.parametrize(
    ("quantity", "raw", "reference"),
    [(T, 20.0, 25.0), (RH, 50.0, 65.0), (MASS, 910.0, 1000.0), (MASS, 4.0, 0.0)],
)
def test_a_sensor_that_is_a_little_off_is_corrected(
    quantity: Quantity, raw: float, reference: float
) -> None:
    line = offset_through(quantity, Point(raw=raw, reference=reference))
    assert line.at(raw) == reference


def test_what_is_no_matter_of_calibration_is_refused() -> None:
    with pytest.raises(InputError, match="battery is not calibrated"):
        offset_through(Quantity.BATTERY, Point(raw=50.0, reference=51.0))


def test_two_references_near_each_other_make_no_line() -> None:
    with pytest.raises(InputError, match="10 °C or more"):
        line_through(T, Point(raw=20.0, reference=20.5), Point(raw=25.0, reference=25.4))


def test_one_reading_at_two_references_makes_no_line() -> None:
    with pytest.raises(InputError):
        line_through(T, Point(raw=20.0, reference=15.0), Point(raw=20.0, reference=25.0))


def test_a_line_that_is_too_steep_is_refused() -> None:
    with pytest.raises(InputError, match=r"slope 1\.50"):
        line_through(RH, Point(raw=40.0, reference=33.0), Point(raw=54.0, reference=54.0))


def test_a_line_that_is_too_flat_is_refused() -> None:
    with pytest.raises(InputError, match=r"slope 0\.60"):
        line_through(RH, Point(raw=40.0, reference=45.0), Point(raw=75.0, reference=66.0))
