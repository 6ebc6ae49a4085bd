"""To shelve with one tap, or with one's own reason and time."""

from datetime import timedelta

import pytest

from dashboards.views.shelf_form import read_shelf, shelf_form
from service.alarms.suppression import LONGEST_SHELF
from service.errors import InputError
from service.rules.limit import Priority

FOUR_HOURS = f"{4 * 3600}"


@pytest.mark.parametrize("priority", Priority)
def test_every_tap_has_a_reason_and_an_end_within_the_maximum(priority: Priority) -> None:
    for tap in shelf_form("cold", priority).taps:
        wish = read_shelf({"tap": tap.key}, priority)
        assert wish.tidy_reason == tap.words
        assert wish.span is not None
        assert timedelta(0) < wish.span <= LONGEST_SHELF[priority]


@pytest.mark.parametrize("priority", Priority)
def test_every_time_that_may_be_chosen_is_taken(priority: Priority) -> None:
    for span in shelf_form("cold", priority).spans:
        told = {"tap": "own", "reason": "painting", "for": span.value}
        assert read_shelf(told, priority).reason == "painting"


def test_a_danger_is_not_slept_over() -> None:
    told = {"tap": "own", "reason": "asleep", "for": f"{12 * 3600}"}
    with pytest.raises(InputError, match="4 hours at most"):
        read_shelf(told, Priority.HIGH)
    assert read_shelf(told, Priority.MEDIUM).for_s == 12 * 3600


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({"tap": "own", "reason": "  ", "for": FOUR_HOURS}, "a reason is missing"),
        ({"tap": "own", "reason": "x" * 201, "for": FOUR_HOURS}, "at most 200"),
        ({"tap": "own", "reason": "a\x07b", "for": FOUR_HOURS}, "can't be shown"),
        ({"tap": "own", "reason": "painting", "for": "1e9"}, "choose one of the times"),
        ({"tap": "own", "reason": "painting"}, "choose one of the times"),
        ({"tap": "for-ever"}, "open it anew"),
        ({}, "open it anew"),
    ],
)
def test_what_can_not_be_shelved_is_told_why(told: dict[str, str], says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_shelf(told, Priority.HIGH)


def test_a_wrong_sensor_stays_shelved_though_its_value_swings() -> None:
    assert not read_shelf({"tap": "not-believed"}, Priority.MEDIUM).one_shot
    assert read_shelf({"tap": "can-wait"}, Priority.MEDIUM).one_shot
