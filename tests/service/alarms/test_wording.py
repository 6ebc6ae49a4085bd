"""What an alarm says."""

from dataclasses import replace
from datetime import UTC, datetime
from itertools import product
from zoneinfo import ZoneInfo

import pytest

from devices.reading import Quantity
from service.alarms.wording import (
    limit_text,
    overdue_text,
    verdict_words,
    what_to_do,
)
from service.rules.limit import Limit

ZONE = ZoneInfo("Europe/Amsterdam")
SINCE = datetime(2026, 3, 1, 21, 50, tzinfo=UTC)
COLD = Limit(id="cold", place="shed", quantity=Quantity.TEMPERATURE, low=5.0)
HOT = replace(COLD, low=None, high=30.0)
DAMP = replace(HOT, quantity=Quantity.RELATIVE_HUMIDITY, high=80.0)
DRY = replace(COLD, quantity=Quantity.RELATIVE_HUMIDITY, low=40.0)
EVERY_LIMIT = [
    replace(COLD, quantity=quantity, low=low, high=high)
    for quantity, (low, high) in product(Quantity, [(1.0, None), (None, 1.0)])
]


def text(limit: Limit, value: float) -> str:
    return limit_text(limit, place_name="Shed", value=value, since=SINCE, zone=ZONE)


def test_an_alarm_says_what_is_since_when_and_what_to_do() -> None:
    expected = "Shed 4.2°, under 5° since 22:50. Close vents or heat, and look."
    assert text(COLD, 4.2) == expected
    assert text(DAMP, 86.4) == "Shed humidity 86.4 %, over 80 % since 22:50. Open a vent."


def test_times_are_told_in_the_sheds_own_zone() -> None:
    summer = datetime(2026, 7, 1, 20, 50, tzinfo=UTC)
    told = limit_text(COLD, place_name="Shed", value=4.2, since=summer, zone=ZONE)
    assert "since 22:50" in told


@pytest.mark.parametrize(
    ("limit", "value", "shown"),
    [
        (COLD, 4.24, "4.2°,"),
        (COLD, 4.26, "4.3°,"),
        (COLD, 4.97, "4.9°,"),
        (HOT, 30.02, "30.1°,"),
        (COLD, -0.04, "0.0°,"),
        (COLD, -3.25, "-3.2°,"),
        (DAMP, 80.04, "80.1 %,"),
    ],
)
def test_a_value_has_one_decimal_and_never_looks_fine(
    limit: Limit, value: float, shown: str
) -> None:
    told = text(limit, value).replace("humidity ", "").split()[1:]
    assert told[: shown.count(" ") + 1] == shown.split()


def test_a_setpoint_is_told_as_it_was_set() -> None:
    assert "under 4.75°" in text(replace(COLD, low=4.75), 4.2)
    assert "over 1200 ppm" in text(replace(HOT, quantity=Quantity.CO2, high=1200.0), 1300)


@pytest.mark.parametrize(
    ("limit", "words"),
    [(COLD, "Too cold"), (HOT, "Too hot"), (DAMP, "Too damp"), (DRY, "Too dry")],
)
def test_the_verdict_names_what_is_wrong(limit: Limit, words: str) -> None:
    assert verdict_words(limit) == words


def test_too_little_light_is_too_dark() -> None:
    assert verdict_words(replace(COLD, quantity=Quantity.ILLUMINANCE)) == "Too dark"


@pytest.mark.parametrize("limit", EVERY_LIMIT, ids=lambda limit: f"{limit.quantity}-{limit.high}")
def test_every_limit_has_words_that_fit_the_wall_and_do_not_shout(limit: Limit) -> None:
    assert 0 < len(verdict_words(limit)) <= 12
    assert 1 <= len(what_to_do(limit)) <= 2
    assert all(0 < len(line) <= 15 for line in what_to_do(limit))
    assert "!" not in text(limit, 2.0)
    assert text(limit, 2.0).endswith(".")


def overdue(last_heard: datetime | None, now: datetime) -> str:
    return overdue_text("th-2", place_name="Box 2", last_heard=last_heard, now=now, zone=ZONE)


def test_a_silent_sensor_is_named_with_when_it_was_last_heard() -> None:
    heard, now = datetime(2026, 3, 1, 10, 52, tzinfo=UTC), datetime(2026, 3, 1, 11, tzinfo=UTC)
    expected = "Box 2's sensor th-2 silent, last heard 11:52. Look at its battery and place."
    assert overdue(heard, now) == expected


def test_a_sensor_last_heard_on_another_day_is_told_with_its_date() -> None:
    heard, now = datetime(2026, 3, 1, 22, 52, tzinfo=UTC), datetime(2026, 3, 1, 23, 5, tzinfo=UTC)
    assert "last heard 1 Mar 23:52." in overdue(heard, now)


def test_a_sensor_that_was_never_heard_is_told_so() -> None:
    assert "silent, never heard yet." in overdue(None, SINCE)


def test_a_number_says_what_it_is_of_where_its_unit_does_not() -> None:
    flat = replace(HOT, quantity=Quantity.BATTERY, high=None, low=15.0)
    assert text(flat, 9.0).startswith("Shed battery 9.0 %, under 15 % since")
    stale = replace(HOT, quantity=Quantity.CO2, high=3000.0)
    assert text(stale, 3900.4).startswith("Shed carbon dioxide 3900 ppm, over 3000 ppm since")
    assert text(stale, 3000.2).startswith("Shed carbon dioxide 3001 ppm, over 3000 ppm since")


def test_mains_that_are_off_are_told_without_a_number() -> None:
    mains = replace(HOT, quantity=Quantity.MAINS, high=None, low=0.5)
    told = text(mains, 0.0)
    assert told == "Shed has no mains power since 22:50. Look at the fuses, and at the heat."
