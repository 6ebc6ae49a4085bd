"""A danger that somebody has seen or shelved, and that then goes much further."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from service.alarms.alarm import Alarm, AlarmState
from service.alarms.shelf_wish import ShelfWish
from tests.service.shed_in_a_folder import EVENING, MINUTE, Shed, minutes, shed_in

SEEN = EVENING + 20 * MINUTE


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Shed]:
    """4 °C since the evening began, and told."""
    with shed_in(tmp_path) as opened:
        opened.walk(*minutes(4.0, 0, 20))
        yield opened


def cold(shed: Shed) -> Alarm:
    (alarm,) = shed.alarms("cold-night")
    return alarm


def test_one_that_was_acknowledged_is_to_be_seen_again_with_the_value_of_now(shed: Shed) -> None:
    shed.path.alarms.acknowledge(cold(shed).id, by="Ada", at=SEEN)
    shed.walk(*minutes(-0.9, 20, 22))
    assert cold(shed).state is AlarmState.ACKNOWLEDGED
    shed.walk(*minutes(-1.2, 22, 24))
    told = cold(shed)
    assert (told.state, told.value) == (AlarmState.UNACKNOWLEDGED, -1.2)
    assert told.text.startswith("Hazel -1.2°, under 5° since 22:00.")


def test_one_that_was_shelved_speaks_anew_before_its_shelf_ends(shed: Shed) -> None:
    wish = ShelfWish(reason="heater is on its way", for_s=4 * 3600.0)
    shed.path.alarms.shelve("cold-night", wish, by="Ada", at=SEEN)
    shed.walk(*minutes(0.0, 20, 22))
    assert not cold(shed).told
    shed.walk(*minutes(-1.2, 22, 24))
    assert cold(shed).told
    assert shed.path.alarms.suppressions() == ()


def test_one_that_nobody_has_seen_yet_stays_as_it_was_told(shed: Shed) -> None:
    before = cold(shed)
    shed.walk(*minutes(-4.0, 20, 40))
    assert cold(shed) == before


def test_what_is_out_of_service_stays_so(shed: Shed) -> None:
    wish = ShelfWish(reason="sensor on the bench")
    shed.path.alarms.take_out_of_service("cold-night", wish, by="Ada", at=SEEN)
    shed.walk(*minutes(-4.0, 20, 40))
    assert not cold(shed).told
