"""The ring that comes next."""

import pytest

from service.nests.next_ring import last_ring, rings_after
from tests.service.nests.nests_in_days import chick, day


@pytest.mark.parametrize(
    ("last", "following"),
    [
        ("HZ-26-021", ("HZ-26-022", "HZ-26-023")),
        ("HZ-26-099", ("HZ-26-100", "HZ-26-101")),
        ("7", ("8", "9")),
        ("26 HZ 9", ("26 HZ 10", "26 HZ 11")),
        ("blue", ()),
        ("12b", ()),
        ("", ()),
        (None, ()),
    ],
)
def test_number_at_the_end_goes_on_as_wide_as_it_was(
    last: str | None, following: tuple[str, ...]
) -> None:
    assert rings_after(last, 2) == following


def test_ring_that_is_worn_is_passed_over_in_small_letters_too() -> None:
    assert rings_after("HZ-1", 2, worn=("hz-2",)) == ("HZ-3", "HZ-4")


def test_last_ring_is_the_one_put_on_last_and_not_the_highest() -> None:
    chicks = [
        chick(1, 20, ring="HZ-9", ringed_at=day(28)),
        chick(2, 21, ring="HZ-4", ringed_at=day(30)),
        chick(3, 22),
    ]
    assert last_ring(chicks) == "HZ-4"


def test_no_ring_was_put_on_where_none_is_known() -> None:
    assert last_ring([chick(1, 20)]) is None
