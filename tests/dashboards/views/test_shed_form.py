"""The shed's name, zone and place: what was typed and what the sun does there."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from dashboards.views.shed_form import (
    ShedAnswer,
    ShedForm,
    city_of,
    read_shed,
    shed_form,
    sun_in_words,
    typed_shed,
)
from service.climate.light_plan import Site
from tests.dashboards.filled_shed import settings

FORM = ShedForm(name="Hazel shed", zone="Europe/London", north="", east="")


def answer(form: ShedForm) -> ShedAnswer:
    read = read_shed(form)
    assert isinstance(read, ShedAnswer), read
    return read


def test_without_degrees_the_principal_place_of_the_zone_is_taken() -> None:
    site = answer(FORM).site
    assert (site.latitude, site.longitude) == pytest.approx((51.5083, -0.1253), abs=1e-4)
    assert city_of(site) == "London"


def test_own_degrees_are_nobody_elses() -> None:
    site = answer(replace(FORM, north="53,2", east="6,6 W")).site
    assert (site.latitude, site.longitude) == (53.2, -6.6)
    assert city_of(site) is None


def test_a_zone_without_a_place_leaves_the_place_untold() -> None:
    site = answer(replace(FORM, zone="UTC")).site
    assert site.latitude is None
    assert sun_in_words(site, datetime(2026, 6, 1, tzinfo=UTC)) is None


def test_every_fault_is_told_at_once() -> None:
    faults = read_shed(ShedForm(name=" ", zone="Amsterdam", north="95", east=""))
    assert isinstance(faults, tuple)
    assert [fault.partition(":")[0] for fault in faults] == [
        "The shed's name",
        "Time zone",
        "Degrees north or south",
    ]


@pytest.mark.parametrize("name", ["", "x" * 61, "a\nb", "\N{RIGHT-TO-LEFT OVERRIDE}dehs"])
def test_a_name_that_can_t_be_read_is_refused(name: str) -> None:
    assert isinstance(read_shed(replace(FORM, name=name)), tuple)


@pytest.mark.parametrize(
    "zone", ["../../etc/passwd", "/etc/localtime", "Europe", "", "\0", "a" * 999]
)
def test_a_zone_that_is_none_is_refused(zone: str) -> None:
    assert isinstance(read_shed(replace(FORM, zone=zone)), tuple)


# HM Nautical Almanac Office, sunrise and sunset in London, from memory: 21 June 04:43 and 21:21
# (summer time), 21 December 08:03 and 15:53; two minutes are allowed for the year and place.
LONDON = [
    (datetime(2026, 6, 21, 12, tzinfo=UTC), "04:43", "21:21"),
    (datetime(2026, 12, 21, 12, tzinfo=UTC), "08:03", "15:53"),
]


@pytest.mark.parametrize(("at", "sunrise", "sunset"), LONDON)
def test_the_sun_is_told_by_the_clock_of_the_zone(at: datetime, sunrise: str, sunset: str) -> None:
    told = sun_in_words(answer(FORM).site, at)
    assert told is not None
    words = told.replace(",", "").split()
    for shown, known in ((words[1], sunrise), (words[3], sunset)):
        apart = datetime.strptime(shown, "%H:%M") - datetime.strptime(known, "%H:%M")  # noqa: DTZ007
        assert abs(apart) <= timedelta(minutes=2), (shown, known)


def test_the_day_the_clocks_change_is_told_in_summer_time() -> None:
    # Directive 2000/84/EC: summer time begins on the last Sunday in March at 01:00 UTC; the sun
    # takes no notice, so by the clock it rises about an hour later than the day before.
    site = answer(replace(FORM, zone="Europe/Amsterdam")).site
    before = sun_in_words(site, datetime(2026, 3, 28, 12, tzinfo=UTC))
    after = sun_in_words(site, datetime(2026, 3, 29, 12, tzinfo=UTC))
    assert before is not None
    assert after is not None
    minutes = [int(told[8:10]) * 60 + int(told[11:13]) for told in (before, after)]
    assert 54 <= minutes[1] - minutes[0] <= 60


def test_where_the_sun_does_not_set_it_is_said() -> None:
    tromso = Site(timezone=ZoneInfo("Europe/Oslo"), latitude=69.65, longitude=18.96)
    assert sun_in_words(tromso, datetime(2026, 6, 21, tzinfo=UTC)) == "The sun does not set today."
    assert (
        sun_in_words(tromso, datetime(2026, 12, 21, tzinfo=UTC)) == "The sun does not rise today."
    )


def test_what_the_file_states_can_t_be_typed(tmp_path: Path) -> None:
    set_up = replace(settings(tmp_path), fixed=frozenset({("shed", "name"), ("shed", "latitude")}))
    form = typed_shed({"name": "Mine", "north": "1", "east": "1", "zone": "UTC"}, set_up)
    assert form == ShedForm(name="Hazel shed", zone="UTC", north="53.2 N", east="6.6 E")


def test_a_machine_that_was_never_told_its_zone_asks_for_it(tmp_path: Path) -> None:
    untold = replace(settings(tmp_path), site=Site(timezone=ZoneInfo("Etc/UTC")))
    assert shed_form(untold).zone == ""
    told = replace(untold, site=replace(untold.site, latitude=64.1, longitude=-21.9))
    assert shed_form(told).zone == "Etc/UTC"


def test_what_is_shown_means_what_is_set(tmp_path: Path) -> None:
    set_up = settings(tmp_path)
    assert answer(shed_form(set_up)) == ShedAnswer(name=set_up.shed_name, site=set_up.site)
