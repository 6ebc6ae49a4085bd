"""How many of a sensor's last readings can't be."""

import pytest

from service.rules.doubtful_sensor import LOOKED_AT, LastTwenty, failing_limit
from service.rules.follow import is_past


def test_the_last_twenty_count_and_no_more() -> None:
    last = LastTwenty()
    told = [last.follow(bad=n < 7) for n in range(30)]
    assert told[6] == 7
    assert told[19] == 7
    assert told[20] == 6
    assert told[29] == 0


def test_few_good_readings_are_no_all_clear() -> None:
    last = LastTwenty()
    told = [last.follow(bad=False) for _ in range(LOOKED_AT)]
    assert told[:-1] == [None] * (LOOKED_AT - 1)
    assert told[-1] == 0


@pytest.mark.parametrize(("bad", "breached"), [(4, False), (5, True), (20, True)])
def test_it_is_breached_from_the_stated_number_on(bad: int, breached: bool) -> None:
    assert is_past(failing_limit("th-1", "shed", bad=5.0), bad) is breached
