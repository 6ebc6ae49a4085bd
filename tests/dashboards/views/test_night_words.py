"""How the night was, in words; what nobody knows is said so."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from dashboards.views.banks import AirLimits
from dashboards.views.night_words import NightThere, night_words
from service.climate.night_summary import NightSummary
from service.climate.nights import Night
from tests.dashboards.filled_shed import ZONE

SINCE = datetime(2026, 4, 20, 19, tzinfo=UTC)
UNTIL = datetime(2026, 4, 21, 4, 30, tzinfo=UTC)
NAMES = {"box-2": "Box 2"}


def summary(**changed: object) -> NightSummary:
    night = Night(evening=date(2026, 4, 20), since=SINCE, until=UNTIL, bounds="measured")
    whole = NightSummary(
        night=night,
        low_c=6.04,
        low_at=datetime(2026, 4, 21, 3, 10, tzinfo=UTC),
        hours_below={5.0: 0.0},
        rh_max_pct=71.4,
        dew_margin_min_c=3.0,
        condensation_min=None,
        coverage=1.0,
    )
    return replace(whole, **changed)  # type: ignore[arg-type]


def there(told: NightSummary | None = None, *, heard: datetime | None = UNTIL) -> NightThere:
    return NightThere(
        place="box-2",
        device="th-2",
        summary=told,
        heard_until=heard,
        limits=AirLimits(cold_c=5.0, damp_pct=80.0),
        max_gap=timedelta(minutes=3),
    )


def test_a_night_within_its_limits_is_told_with_the_hour_of_its_low() -> None:
    told = night_words(there(summary()), NAMES, ZONE)
    assert told.words == "The night in Box 2: 6.0° at 05:10, 71 % damp at most"
    assert not told.unusual


def test_a_night_that_goes_on_is_so_far() -> None:
    goes_on = replace(summary().night, until=None)
    told = night_words(there(summary(night=goes_on)), NAMES, ZONE)
    assert told.words.startswith("Tonight so far in Box 2: 6.0°")


@pytest.mark.parametrize(
    ("hours", "words"), [(0.75, "below 5.0° for 45 min"), (2.25, "below 5.0° for 2.2 h")]
)
def test_a_cold_night_says_for_how_long(hours: float, words: str) -> None:
    told = night_words(there(summary(low_c=4.1, hours_below={5.0: hours})), NAMES, ZONE)
    assert words in told.words
    assert told.unusual


def test_a_damp_night_names_the_limit() -> None:
    told = night_words(there(summary(rh_max_pct=84.0)), NAMES, ZONE)
    assert told.words.endswith("too damp, over 80 %")
    assert told.unusual


def test_damp_that_nobody_measured_is_not_taken_for_dry() -> None:
    told = night_words(there(summary(rh_max_pct=None)), NAMES, ZONE)
    assert told.words.endswith("damp not measured")


def test_a_night_with_a_gap_says_how_much_was_measured_and_until_when() -> None:
    silent_since = datetime(2026, 4, 21, 1, 5, tzinfo=UTC)
    told = night_words(there(summary(coverage=0.64), heard=silent_since), NAMES, ZONE)
    assert told.words.endswith("only 64 % of it was measured, nothing after 03:05")
    assert told.unusual


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (None, "cannot tell, no sensor is here"),
        (there(None), "cannot tell, nothing says when it was night"),
        (there(summary(low_c=None, low_at=None, coverage=0.0)), "cannot tell, th-2 told nothing"),
    ],
    ids=["no sensor", "no night", "silent"],
)
def test_what_nobody_knows_is_said_and_is_out_of_the_ordinary(
    found: NightThere | None, words: str
) -> None:
    told = night_words(found, NAMES, ZONE)
    assert told.words.endswith(words)
    assert told.unusual
