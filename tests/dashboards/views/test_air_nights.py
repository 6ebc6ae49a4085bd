"""The nights of a month, drawn and in a table."""

import pytest

from dashboards.views.air_nights import hours_words, night_lows, night_rows, share_words
from tests.dashboards.views.air_told import LIMITS, ZONE, night


def test_a_night_in_part_unmeasured_is_not_drawn_as_whole() -> None:
    whole, part = night_lows([night(), night(1, coverage=0.7)], LIMITS)
    assert (whole.whole, part.whole) == (True, False)


def test_no_hour_and_not_known_are_two_things() -> None:
    none, unknown = night_lows([night(), night(1, rh_max_pct=None, condensation_min=None)], LIMITS)
    assert (none.damp_h, none.wet_h) == (0.0, 0.0)
    assert (unknown.damp_h, unknown.wet_h) == (None, None)


def test_no_hour_too_damp_in_half_a_night_is_not_drawn_as_none() -> None:
    part, over = night_lows(
        [
            night(humidity_coverage=0.5, surface_coverage=0.5),
            night(1, humidity_coverage=0.5, hours_above={80.0: 2.0}),
        ],
        LIMITS,
    )
    assert (part.damp_h, part.wet_h) == (None, None)
    assert over.damp_h == 2.0


def test_the_table_has_the_newest_night_first_and_says_what_is_not_known() -> None:
    newest, oldest = night_rows(
        [
            night(),
            night(1, low_c=None, low_at=None, rh_max_pct=None, condensation_min=None, coverage=0.0),
        ],
        LIMITS,
        ZONE,
    )
    assert (oldest.night, oldest.low, oldest.cold, oldest.wet) == (
        "3 Mar",
        "6.2° at 05:30",
        "none",
        "none",
    )
    assert (newest.low, newest.cold, newest.damp, newest.wet, newest.measured) == (
        "not measured",
        "cannot tell",
        "not measured",
        "cannot tell",
        "nothing",
    )


def test_nothing_seen_in_half_a_night_is_not_none() -> None:
    (row,) = night_rows([night(coverage=0.5, surface_coverage=0.5)], LIMITS, ZONE)
    assert (row.cold, row.wet) == ("none seen", "none seen")


@pytest.mark.parametrize(
    ("share", "words"), [(1.0, "all"), (0.989, "98 %"), (0.004, "under 1 %"), (0.0, "nothing")]
)
def test_a_share_is_rounded_down(share: float, words: str) -> None:
    assert share_words(share) == words


@pytest.mark.parametrize(
    ("hours", "words"),
    [(0.05, "under 10 min"), (1.4, "about 80 min"), (1.6, "about 1.5 h"), (9.0, "about 9 h")],
)
def test_hours_are_told_roughly(hours: float, words: str) -> None:
    assert hours_words(hours) == words


def test_damp_of_half_a_night_says_how_much_was_measured() -> None:
    (row,) = night_rows((night(rh_max_pct=72.0, humidity_coverage=0.5),), LIMITS, ZONE)
    assert row.damp == "72 % at most (50 % measured)"
