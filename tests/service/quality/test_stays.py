"""A reading belongs to where its sensor stood when it was measured."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from devices.reading import Quantity, Reading
from service.quality.stays import Stay, Stays

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
EVENING = NOON + timedelta(hours=9)
JAR = "jar"


def reading(at: datetime, *, place: str = "shed", received_at: datetime | None = None) -> Reading:
    return Reading(
        device="th-shed",
        place=place,
        quantity=Quantity.RELATIVE_HUMIDITY,
        value=75.0,
        measured_at=at,
        received_at=received_at or at,
    )


def stays(until: datetime | None = EVENING) -> Stays:
    homes = {"th-shed": "shed"} if until is None else {}
    return Stays(JAR, [Stay(device="th-shed", since=NOON, until=until)], homes)


@given(st.integers(min_value=-(10**6), max_value=10**6))
def test_what_was_measured_in_the_jar_is_the_jars_and_all_else_is_the_sheds(seconds: int) -> None:
    at = NOON + timedelta(seconds=seconds)
    expected = JAR if NOON <= at < EVENING else "shed"
    late = reading(at, received_at=max(at, EVENING) + timedelta(hours=1))
    assert stays().applied_to(late).place == expected


def test_while_it_is_in_the_jar_what_was_measured_before_goes_home() -> None:
    late = reading(NOON - timedelta(minutes=1), place=JAR, received_at=NOON + timedelta(minutes=1))
    assert stays(until=None).applied_to(late).place == "shed"
    assert stays(until=None).applied_to(reading(NOON, place=JAR)).place == JAR


def test_a_clock_that_nobody_believes_is_placed_by_its_arrival() -> None:
    stamped = reading(datetime(1970, 1, 1, tzinfo=UTC), received_at=NOON + timedelta(hours=1))
    assert stays().applied_to(stamped).place == JAR


def test_another_sensor_is_left_where_it_is() -> None:
    here = reading(NOON)
    other = Stays(JAR, [Stay(device="th-2", since=NOON, until=None)], {"th-2": "shed"})
    assert other.applied_to(here) is here
