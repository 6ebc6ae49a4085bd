"""The lamps' programme: what cannot be is refused, and days grow week by week."""

from datetime import UTC, date, time, timedelta

import pytest

from simulated_feeds.impossible import ImpossibleParameterError
from simulated_feeds.lamps.parameters import LampParameters

BEGUN = date(2026, 1, 5)
GROWING = LampParameters(
    on=time(6, 0),
    off=time(20, 0),
    lengthen_from=BEGUN,
    shortest_h=9.0,
    lengthen_a_week_min=30.0,
)


def length_min(day: date, lamps: LampParameters = GROWING) -> float:
    on, off = lamps.window(day)
    return off - on


@pytest.mark.parametrize(
    ("changes", "parameter", "allowed"),
    [
        ({"on": time(21, 0)}, "off", "later than on"),
        ({"on": time(7, tzinfo=UTC)}, "on", "local time, like 06:30"),
        ({"off": time(23, 59, 59)}, "off", "a whole minute"),
        ({"dim": timedelta(hours=4)}, "dim", "0 min to 3 h"),
        ({"dim": timedelta(seconds=-1)}, "dim", "0 min to 3 h"),
        ({"dim_step": timedelta(0)}, "dim_step", "1 min to 1 h"),
        ({"shortest_h": 0.0}, "shortest_h", "1 to 24 h"),
        ({"full_lx": -1.0}, "full_lx", "0 to 20000 lx"),
        ({"daylight_share": 1.0}, "daylight_share", "0 to 0.2"),
    ],
)
def test_impossible_lamps_are_refused(
    changes: dict[str, time], parameter: str, allowed: str
) -> None:
    with pytest.raises(ImpossibleParameterError, match=allowed) as refused:
        LampParameters(**changes)  # type: ignore[arg-type]
    assert refused.value.parameter == parameter


def test_day_is_shortest_before_and_in_the_first_week() -> None:
    for days in (-30, -1, 0, 6):
        assert length_min(BEGUN + timedelta(days=days)) == 9 * 60


def test_day_grows_by_the_same_each_week() -> None:
    lengths = [length_min(BEGUN + timedelta(weeks=week, days=3)) for week in range(13)]
    assert lengths == [min(9 * 60 + 30 * week, 14 * 60) for week in range(13)]


@pytest.mark.parametrize(
    ("share", "on", "off"),
    [(0.0, time(6, 0), time(15, 0)), (0.5, time(8, 30), time(17, 30)), (1.0, time(11), time(20))],
)
def test_what_is_missing_is_missing_where_it_was_told_to(share: float, on: time, off: time) -> None:
    lamps = LampParameters(on=time(6, 0), off=time(20, 0), lengthen_from=BEGUN, morning_share=share)
    assert lamps.clock(BEGUN) == (on, off)


def test_lamps_may_burn_until_the_last_minute_of_a_day() -> None:
    lamps = LampParameters(on=time(0, 0), off=time(23, 59))
    assert lamps.clock(BEGUN) == (time(0, 0), time(23, 59))


def test_programme_that_does_not_grow_is_the_same_every_day() -> None:
    lamps = LampParameters()
    assert {lamps.clock(BEGUN + timedelta(days=k)) for k in range(400)} == {(lamps.on, lamps.off)}
