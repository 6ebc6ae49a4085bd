"""The last night in sentences: nothing unmeasured is told as fine."""

from dataclasses import replace

import pytest

from dashboards.views.air_last_night import last_night
from dashboards.views.banks import AirLimits
from service.climate.night_summary import NightSummary
from tests.dashboards.views.air_told import EVENING, LIMITS, NIGHT, ZONE, night


def told(one: NightSummary | None, limits: AirLimits = LIMITS) -> str:
    return " ".join(last_night(one, limits, ZONE))


def test_a_calm_night_is_told_with_its_hours() -> None:
    assert told(NIGHT) == (
        "The night of 3 March: 6.2° at the lowest, at 05:30. It was not below 5°. "
        "72 % damp at most at 04:30. At the least the air was 3° above its dew point. "
        "No water on the coldest surface, reckoned. "
        "Dark from 20:30 to 06:30, as the light sensor saw it."
    )


def test_a_night_with_a_gap_is_never_said_to_have_stayed_warm() -> None:
    words = told(night(coverage=0.6, surface_coverage=0.6))
    assert "It was not below 5° while it was measured." in words
    assert "No water seen on the coldest surface, reckoned for 60 % of the night." in words
    assert "Only 60 % of it was measured: what was missed may have been worse." in words


def test_a_night_of_which_the_thermometer_told_nothing_cannot_be_told() -> None:
    words = told(night(low_c=None, low_at=None, coverage=0.0))
    assert "cannot tell" in words
    assert "not below" not in words


def test_without_humidity_or_surface_it_says_that_it_cannot_tell() -> None:
    words = told(night(rh_max_pct=None, dew_margin_min_c=None, condensation_min=None))
    assert "How damp it was: cannot tell" in words
    assert "Water on the coldest surface: cannot tell" in words


def test_no_night_at_all_says_what_would_tell_it() -> None:
    assert "A light sensor" in told(None)


@pytest.mark.parametrize(
    ("minutes", "words"), [(4, "under 10 min"), (37, "about 40 min"), (130, "about 2 h")]
)
def test_water_is_told_no_finer_than_anybody_can_tell(minutes: float, words: str) -> None:
    assert f"Water lay on the coldest surface for {words}, reckoned." in told(
        night(condensation_min=minutes)
    )


def test_hours_too_cold_and_too_damp_are_told() -> None:
    words = told(night(hours_below={5.0: 2.6}, hours_above={80.0: 0.5}, rh_max_pct=88.0))
    assert "It was below 5° for about 2.5 h." in words
    assert "88 % damp at most at 04:30, over 80 % for about 30 min." in words


def test_damp_that_was_measured_in_a_part_of_the_night_says_so() -> None:
    words = told(night(rh_max_pct=72.0, humidity_coverage=0.4))
    assert "72 % damp at most at 04:30; measured for 40 % of the night." in words


def test_a_margin_is_rounded_towards_trouble() -> None:
    assert "less than 1° above its dew point" in told(night(dew_margin_min_c=0.94))


def test_a_night_that_goes_on_is_told_so_far() -> None:
    going_on = replace(NIGHT, night=replace(NIGHT.night, until=None))
    assert told(going_on).startswith("Tonight so far: 6.2°")
    assert "Dark since 20:30" in told(going_on)


def test_only_a_quick_fall_is_told() -> None:
    assert "fell" not in told(night(fall_max_k_per_h=0.8, fall_max_at=EVENING))
    quick = told(night(fall_max_k_per_h=2.3, fall_max_at=EVENING))
    assert "It fell fastest from 20:30 on, by about 2.5° an hour." in quick


def test_water_between_two_bounds_is_told_as_what_may_have_been() -> None:
    words = told(
        night(condensation_min=None, condensation_least_min=0.0, condensation_most_min=600.0)
    )
    assert "Water may have lain on the coldest surface, none to about 10 h, by how cold" in words
    assert "No water" not in words


def test_no_water_is_not_told_without_the_most_that_there_may_have_been() -> None:
    words = told(night(condensation_min=0.0, condensation_most_min=130.0))
    assert "No water on the coldest surface, reckoned; about 2 h at most" in words
    assert "at most, by what" not in told(night(condensation_min=0.0, condensation_most_min=5.0))
