"""Zones and their places, against the tz database's own description and against the clock."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from service.machine.zone_tab import (
    ZonePlace,
    place_of_zone,
    read_links,
    read_zone_tab,
    zone_names,
    zone_places,
)

# ISO 6709 as the head of zone.tab describes it: ±DDMM±DDDMM or ±DDMMSS±DDDMMSS. Degrees worked
# out by hand.
WRITTEN = [
    ("NL\t+5222+00454\tEurope/Amsterdam", 52 + 22 / 60, 4 + 54 / 60),
    ("AU\t-3352+15113\tAustralia/Sydney\tNew South Wales (most areas)", -33.866667, 151.216667),
    ("US\t+404251-0740023\tAmerica/New_York\tEastern (most areas)", 40.714167, -74.006389),
    ("ST\t+0020+00644\tAfrica/Sao_Tome", 0.333333, 6.733333),
    ("GB\t+513030-0000731\tEurope/London", 51.508333, -0.125278),
]


@pytest.mark.parametrize(("line", "latitude", "longitude"), WRITTEN)
def test_a_line_is_read_as_its_table_describes_it(
    line: str, latitude: float, longitude: float
) -> None:
    (place,) = read_zone_tab(line)
    assert place.latitude == pytest.approx(latitude, abs=1e-6)
    assert place.longitude == pytest.approx(longitude, abs=1e-6)


def test_the_principal_place_is_the_last_part_of_the_name() -> None:
    (place,) = read_zone_tab("AR\t-3436-05827\tAmerica/Argentina/Buenos_Aires")
    assert place.city == "Buenos Aires"


@pytest.mark.parametrize(
    "line", ["", "# NL\t+5222+00454\tEurope/Amsterdam", "NL\tnowhere\tEurope/X", "NL\t+5222"]
)
def test_a_line_that_is_none_is_left_out(line: str) -> None:
    assert list(read_zone_tab(line)) == []


def test_links_are_read_as_zic_writes_them() -> None:
    # zic(8): "L TARGET LINK-NAME"
    text = "# version x\nZ Europe/London 0 - GMT\nL Europe/London GB\n"
    assert read_links(text) == {"GB": "Europe/London"}


def test_a_zone_is_found_by_its_old_name_too() -> None:
    place = place_of_zone("Asia/Calcutta")
    assert isinstance(place, ZonePlace)
    assert place.city == "Kolkata"


@pytest.mark.parametrize("zone", ["UTC", "Etc/UTC", "Nowhere/At_All", ""])
def test_what_lies_nowhere_has_no_place(zone: str) -> None:
    assert place_of_zone(zone) is None


def test_every_zone_to_choose_from_can_be_used() -> None:
    assert len(zone_names()) > 400
    for name in zone_names():
        assert ZoneInfo(name).key == name


def test_every_place_lies_where_its_clock_says_so() -> None:
    # Mean solar time is longitude / 15°; what a country chose for its clocks lies near it.
    winter = datetime(2026, 1, 15, 12, tzinfo=UTC)
    for place in zone_places().values():
        offset = winter.astimezone(ZoneInfo(place.zone)).utcoffset()
        assert offset is not None
        apart_h = (offset.total_seconds() / 3600 - place.longitude / 15 + 12) % 24 - 12
        assert abs(apart_h) < 2.5, place
        assert -90 <= place.latitude <= 90
