"""What is said of tonight: never falsely precise, and "fine" only where it is."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from dashboards.views.rail_view import rail_view
from dashboards.views.tonight_words import (
    ahead_of,
    not_said_sentence,
    tonight_line,
    tonight_sentences,
)
from dashboards.views.wall_view import Form, LastNight, WallView, wall_view
from service.answers.outlook import Tonight
from service.climate.outlook.evaluate import Band
from service.climate.outlook.night_span import NightSpan
from service.climate.outlook.outlook import STALE_AFTER, Level, Outlook, Why
from service.nests.place import PlaceKind
from service.rules.limit import Priority
from service.settings.settings import Settings
from tests.dashboards.filled_shed import NOW, limits, settings
from tests.dashboards.views.walls import newest, state_of

ZONE = ZoneInfo("Europe/Amsterdam")
MINUTE = timedelta(minutes=1)
DUSK = datetime(2026, 4, 21, 18, 30, tzinfo=UTC)

NIGHT = NightSpan(
    evening=date(2026, 4, 21),
    light_since=DUSK - timedelta(hours=14),
    since=DUSK,
    until=DUSK + timedelta(hours=10),
)
SAID = Outlook(
    issued_at=NOW - timedelta(minutes=30),
    night=NIGHT,
    level=Level.ALL,
    whys=(),
    nights_used=40,
    with_outdoor=True,
    low_at=datetime(2026, 4, 22, 2, 50, tzinfo=UTC),
    low_from=datetime(2026, 4, 22, 2, 0, tzinfo=UTC),
    low_to=datetime(2026, 4, 22, 4, 0, tzinfo=UTC),
    chance_below={5.0: 0.01},
)


def of(band: Band, **changed: object) -> Tonight:
    said = replace(SAID, low_c=band, **changed)  # type: ignore[arg-type]
    return Tonight(place="shed", said=said, low_c=band)


MILD_BAND = Band(p10=8.4, p50=9.6, p90=11.1)
COLD_BAND = Band(p10=3.4, p50=4.6, p90=6.1)
MILD = of(MILD_BAND)
COLD = of(COLD_BAND, chance_below={5.0: 0.62})


def wall_with(tonight: Tonight | None, *alarms: object) -> WallView:
    set_up: Settings = settings(Path("/nowhere"))
    boxes = [place for place in set_up.places if place.kind is PlaceKind.BOX]
    return wall_view(
        settings=set_up,
        state=state_of(set_up, *alarms),  # type: ignore[arg-type]
        newest=newest(),
        channel=None,
        night_low=LastNight(low_c=6.2, low_at=NOW, going_on=False),
        rail=rail_view(boxes, (), NOW, ZONE),
        night=False,
        tonight=tonight,
    )


def test_a_night_far_from_its_limit_is_fine() -> None:
    line = tonight_line(MILD, limits(), ZONE)
    assert line.sentences == ("Tonight 9.5°, fine", "Tonight 10°, fine")
    assert line.notes == ("8 to 12°", "low near 5 am")


@pytest.mark.parametrize(("chance", "word"), [(0.05, "unlikely"), (0.2, "possible")])
def test_a_night_that_may_pass_its_limit_shows_its_width_and_how_likely(
    chance: float, word: str
) -> None:
    line = tonight_line(of(COLD_BAND, chance_below={5.0: chance}), limits(), ZONE)
    assert line.sentences == ("Tonight 3 to 7°",)
    assert line.notes == ("under 5°:", word)


def test_the_middle_is_not_told_above_what_was_lowest_so_far() -> None:
    late = of(Band(p10=11.4, p50=12.33, p90=12.33), low_so_far_c=12.33)
    assert tonight_line(late, limits(), ZONE).sentences == ("Tonight 12°, fine",) * 2


def test_nothing_is_fine_without_a_cold_limit_nor_while_few_nights_are_known() -> None:
    no_limit = tonight_line(MILD, (), ZONE)
    learning = tonight_line(of(MILD_BAND, level=Level.LEARNING, chance_below={}), limits(), ZONE)
    assert "fine" not in " ".join(no_limit.sentences + learning.sentences)
    assert learning.notes == ("still", "learning")


def test_a_whole_degree_is_not_told_above_what_was_lowest_so_far_either() -> None:
    late = of(Band(p10=11.4, p50=12.6, p90=12.6), low_so_far_c=12.6)
    assert tonight_line(late, limits(), ZONE).sentences == (
        "Tonight 12.5°, fine",
        "Tonight 12°, fine",
    )


def test_nothing_is_fine_once_it_was_under_the_limit() -> None:
    dipped = of(MILD_BAND, low_so_far_c=4.8)
    assert tonight_line(dipped, limits(), ZONE).notes == ("has been", "under 5°")
    assert "it has been under 5° already" in tonight_sentences(dipped, limits(), NOW, ZONE)[0]


def test_a_shed_that_cools_as_if_a_door_stood_open_is_not_fine() -> None:
    line = tonight_line(of(MILD_BAND, whys=(Why.FALLS_FAST,)), limits(), ZONE)
    assert line.sentences == ("Tonight 8 to 12°",)
    assert line.notes == ("cooling fast:", "door open?")


def test_nothing_is_fine_where_panes_may_be_wet() -> None:
    line = tonight_line(of(MILD_BAND, chance_condensation=0.3), limits(), ZONE)
    assert line.sentences == ("Tonight 8 to 12°",)
    assert line.notes == ("wet panes:", "possible")


def test_a_likely_crossing_is_to_be_watched_before_it_comes() -> None:
    view = wall_with(COLD)
    assert view.form is Form.OUTLINE
    assert view.verdict.sentences == ("Cold later",)
    assert view.verdict.notes == ("14:30, watch", "under 5° likely")
    assert view.second.sentences == ("Tonight 3 to 7°",)
    assert view.second.notes == ("4.5° likeliest", "low near 5 am")


def test_once_the_night_has_been_that_cold_nothing_is_told_as_later() -> None:
    assert wall_with(of(COLD_BAND, chance_below={5.0: 0.995}, crossed_c=(5.0,))).form is Form.PLAIN


def test_a_limit_told_on_the_phone_only_makes_no_watch() -> None:
    quiet = tuple(replace(one, priority=Priority.LOW) for one in limits())
    assert tonight_line(COLD, quiet, ZONE).sentences[0] == "Tonight 4.5°"


def test_an_old_outlook_is_not_shown_and_said_to_be_old() -> None:
    old = of(COLD_BAND, chance_below={5.0: 0.9}, issued_at=NOW - STALE_AFTER - MINUTE)
    view = wall_with(old)
    assert view.form is Form.PLAIN
    assert view.second.sentences == ("Last night 6°",)
    assert view.second.notes == ("outlook old:", "from 12:29")


def test_without_an_outlook_the_wall_says_what_is_known() -> None:
    assert wall_with(None).second.sentences == ("Last night 6°",)


def test_the_sentences_tell_band_chance_hours_and_when_it_was_said() -> None:
    told = tonight_sentences(COLD, limits(), NOW, ZONE)
    assert told == (
        "Tonight's low: 4.5° most likely, 3 to 7° in eight nights of ten; "
        "under 5° is likely (said at 14:00).",
        "In most nights of the last month the low came between 04:00 and 06:00.",
        "It cannot see weather that has not arrived.",
    )


def test_what_is_missing_and_what_has_changed_is_said_in_sentences() -> None:
    poor = of(MILD_BAND, whys=(Why.NO_OUTDOORS, Why.CHANGED), changed_since=date(2026, 4, 12))
    told = " ".join(tonight_sentences(poor, limits(), NOW, ZONE))
    assert "The shed behaves differently since about" in told
    assert "Not better known: without an outdoor thermometer." in told


def test_an_old_outlook_tells_no_number_in_a_list_either() -> None:
    old = of(COLD_BAND, issued_at=NOW - STALE_AFTER - MINUTE)
    assert tonight_sentences(old, limits(), NOW, ZONE) == (
        "Tonight: cannot tell. What was said last, at 12:29, is too old.",
    )
    assert ahead_of(old, limits(), NOW, 17.0) is None


def test_with_too_few_nights_it_says_how_many_there_are() -> None:
    silent = replace(SAID, level=Level.SILENT, whys=(Why.TOO_FEW_NIGHTS,), nights_used=3)
    assert not_said_sentence(silent) == ("Tonight: cannot tell, not enough nights yet (3 of 7).")


def test_between_two_nights_it_says_when_the_next_is_told() -> None:
    over = not_said_sentence(COLD.said)
    never = not_said_sentence(None)
    assert over == "Tonight: not told yet; it is told from eight hours before the lamps go off."
    assert never.endswith("before the lamps go off, once 7 nights are known.")


def test_ahead_begins_with_the_night_by_day_and_at_the_bead_by_night() -> None:
    by_day = ahead_of(COLD, limits(), NOW, 17.0)
    fresh = of(COLD_BAND, issued_at=DUSK + timedelta(hours=1))
    by_night = ahead_of(fresh, limits(), DUSK + timedelta(hours=1), 12.0)
    assert by_day is not None
    assert by_night is not None
    assert (by_day.since, by_day.from_c) == (DUSK, None)
    assert (by_night.since, by_night.from_c) == (DUSK + timedelta(hours=1), 12.0)
    assert (by_day.cold_c, by_day.hot_c, by_day.crosses) == (5.0, 28.0, True)
    assert ahead_of(COLD, limits(), NIGHT.until, 12.0) is None
