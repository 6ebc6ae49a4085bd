"""A forecast low is never told above what was measured already."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from service.answers.outlook import Tonight
from service.answers.tonight_so_far import held_to
from service.climate.outlook.evaluate import Band
from service.climate.outlook.night_span import NightSpan
from service.climate.outlook.outlook import Level, Outlook

DUSK = datetime(2026, 4, 21, 18, 30, tzinfo=UTC)
BAND = Band(p10=11.0, p50=12.3, p90=12.33)
SAID = Outlook(
    issued_at=DUSK + timedelta(hours=1),
    night=NightSpan(
        evening=date(2026, 4, 21),
        light_since=DUSK - timedelta(hours=14),
        since=DUSK,
        until=DUSK + timedelta(hours=10),
    ),
    level=Level.ALL,
    whys=(),
    nights_used=40,
    with_outdoor=True,
    low_c=BAND,
    low_so_far_c=12.33,
    chance_below={5.0: 0.01},
)
EXPECTED = Tonight(place="shed", said=SAID, low_c=BAND)


def test_no_quantile_stays_above_a_colder_reading_since() -> None:
    held = held_to(EXPECTED, 11.8)
    assert held.low_c == Band(p10=11.0, p50=11.8, p90=11.8)
    assert held.said.low_so_far_c == 11.8
    assert held.said.low_c == held.low_c


def test_one_reading_below_a_limit_is_no_crossing_and_changes_no_chance() -> None:
    held = held_to(EXPECTED, 4.9)
    assert held.said.crossed_c == ()
    assert held.said.chance_below == SAID.chance_below


def test_nothing_measured_and_nothing_colder_change_nothing() -> None:
    assert held_to(EXPECTED, None) is EXPECTED
    assert held_to(EXPECTED, 12.4) is EXPECTED
    early = Tonight(place="shed", said=replace(SAID, low_so_far_c=None), low_c=BAND)
    assert held_to(early, 20.0).low_c == BAND
