"""The mould index: its published points, and what its own definitions say.

Hukka and Viitanen 1999, Wood Sci. Technol. 33:475-485; formulas from memory, abstract read.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.climate.moist_air import vapour_pressure_pa
from service.climate.mould import (
    SurfaceHour,
    critical_humidity_pct,
    highest_index,
    mould_index,
    surface_hour,
    weeks_to_microscopic,
    weeks_to_visible,
)

# Worked with -3.13 T; with +3.13 T, as a public package has it, 20 °C would give 205 %.
CRITICAL = [(0, 100.0), (5, 88.02), (10, 82.03), (15, 80.04), (20, 80.04), (25, 80.0)]


@pytest.mark.parametrize(("surface_c", "critical_pct"), CRITICAL)
def test_critical_humidity_is_the_worked_one(surface_c: float, critical_pct: float) -> None:
    assert critical_humidity_pct(surface_c) == pytest.approx(critical_pct, abs=0.006)


def test_saturated_air_grows_up_to_the_highest_index_of_all() -> None:
    assert highest_index(15, 100) == pytest.approx(6)
    assert highest_index(15, critical_humidity_pct(15)) == pytest.approx(1)


def test_in_steady_air_index_1_and_3_come_when_they_are_defined_to() -> None:
    # Index 1 and 3 are by definition reached after these times in steady air.
    damp = SurfaceHour(surface_c=20, humidity_pct=97)
    to_1 = round(weeks_to_microscopic(20, 97) * 168)
    to_3 = round(weeks_to_visible(20, 97) * 168)
    at_1, at_3 = mould_index([damp] * to_1), mould_index([damp] * to_3)
    assert at_1 is not None
    assert at_3 is not None
    assert at_1.most == pytest.approx(1, abs=0.02)
    assert at_3.most == pytest.approx(3, abs=0.02)


def test_dry_air_lets_it_fall_at_once_then_rest_then_fall_slowly() -> None:
    # From memory of the same paper: 0.00133 an hour for 6 h, nothing to 24 h, 0.000667 after.
    damp = [SurfaceHour(surface_c=20, humidity_pct=97)] * 400
    dry = SurfaceHour(surface_c=20, humidity_pct=40)
    found = [mould_index([*damp, *[dry] * hours]) for hours in (0, 6, 24, 25)]
    indices = [one.most for one in found if one is not None]
    assert indices[0] - indices[1] == pytest.approx(6 * 0.00133)
    assert indices[1] == indices[2]
    assert indices[2] - indices[3] == pytest.approx(0.000667)


def test_frost_neither_grows_it_nor_takes_it_away() -> None:
    damp = [SurfaceHour(surface_c=20, humidity_pct=97)] * 400
    frozen = SurfaceHour(surface_c=-2, humidity_pct=100)
    before, after = mould_index(damp), mould_index([*damp, *[frozen] * 100])
    assert before is not None
    assert after is not None
    assert after.most == before.most


def test_hours_nobody_measured_count_as_the_dampest_for_the_most_and_as_dry_for_the_least() -> None:
    damp, dry = (
        SurfaceHour(surface_c=15, humidity_pct=95),
        SurfaceHour(surface_c=15, humidity_pct=50),
    )
    alike = mould_index([damp] * 190)
    holed = mould_index([dry] * 10 + [damp] * 40 + [None] * 150)
    assert alike is not None
    assert holed is not None
    assert holed.most == pytest.approx(alike.most, abs=0.02)
    assert holed.least < holed.most
    assert holed.coverage == 0.25


def test_without_any_measured_hour_nobody_can_tell() -> None:
    assert mould_index([None] * 5) is None


def test_where_water_gathers_the_surface_is_at_100_pct() -> None:
    assert surface_hour(5.0, vapour_pressure_pa(12, 90)).humidity_pct == 100.0
    assert surface_hour(12.0, vapour_pressure_pa(12, 90)).humidity_pct == pytest.approx(90)


@settings(max_examples=30)
@given(
    st.lists(
        st.builds(SurfaceHour, surface_c=st.floats(-10, 45), humidity_pct=st.floats(1, 100)),
        min_size=1,
        max_size=300,
    )
)
def test_the_index_stays_between_none_and_everywhere(hours: list[SurfaceHour]) -> None:
    found = mould_index(hours)
    assert found is not None
    assert 0 <= found.least <= found.most <= 6
