"""Schedules, rotas and reasons in words."""

from dataclasses import replace
from datetime import date, time

import pytest

from service.nests.duty import (
    BeforeItSours,
    ByCalendar,
    ByStage,
    DutyWhere,
    EveryDays,
    OnWarmDay,
    RotaStep,
    Schedule,
    Visit,
    Weekday,
    WhereKind,
)
from service.nests.duty_air import AirTold, Warmth
from service.nests.duty_words import (
    rota_in_words,
    schedule_in_words,
    visits_in_words,
    where_in_words,
    why_on,
    words_on,
)
from service.nests.stage import Stage
from tests.service.nests.duties_at_hand import terms

MONDAY = date(2026, 3, 2)


@pytest.mark.parametrize(
    ("schedule", "words"),
    [
        (ByCalendar(), "every day"),
        (ByCalendar(weekdays=frozenset({Weekday.SUNDAY})), "on Sundays"),
        (
            ByCalendar(weekdays=frozenset({Weekday.SATURDAY, Weekday.WEDNESDAY})),
            "on Wednesdays and Saturdays",
        ),
        (EveryDays(days=1, first=MONDAY), "every day from 2 March on"),
        (EveryDays(days=2, first=MONDAY), "every other day from 2 March on"),
        (EveryDays(days=28, first=MONDAY), "every 28 days from 2 March on"),
        (
            ByStage(stages=frozenset({Stage.REARING, Stage.HATCHING, Stage.LAYING})),
            "every day while the nest is laying, hatching or rearing",
        ),
        (
            ByStage(stages=frozenset({Stage.LEAVING}), every=3),
            "every 3 days while the nest is being left",
        ),
        (BeforeItSours(put_out=time(6, 30)), "before what was put out at 6:30 sours"),
        (OnWarmDay(over_c=25.5), "when it has been over 25.5° that day, then every 4 h"),
    ],
)
def test_a_schedule_reads_as_a_person_says_it(schedule: Schedule, words: str) -> None:
    assert schedule_in_words(schedule) == words


@pytest.mark.parametrize(
    ("visits", "words"),
    [
        ((Visit.MORNING,), "in the morning"),
        ((Visit.MIDDAY,), "at midday"),
        ((Visit.MORNING, Visit.EVENING), "morning and evening"),
        (tuple(Visit), "morning, midday and evening"),
    ],
)
def test_visits_read_as_a_person_says_them(visits: tuple[Visit, ...], words: str) -> None:
    assert visits_in_words(visits) == words


def test_named_places_are_told_by_name_and_one_that_is_no_more_is_left_out() -> None:
    named = DutyWhere(kind=WhereKind.NAMED, places=("cage-1", "gone"))
    assert where_in_words(named, {"cage-1": "Cage 1"}) == "Cage 1"
    assert where_in_words(named, {}) == "no place"


WATER = terms(
    "Water",
    rota=(RotaStep(words="plain water", days=2), RotaStep(words="with supplement", days=1)),
    rota_first=MONDAY,
)


def test_a_rota_is_told_with_its_days_and_the_step_of_the_day() -> None:
    assert rota_in_words(WATER) == "2 days plain water, 1 day with supplement"
    assert words_on(WATER, date(2026, 3, 4)) == "Water: with supplement"
    assert why_on(WATER, date(2026, 3, 3)) == "every day; plain water, day 2 of 2"


def test_without_a_rota_the_name_is_all() -> None:
    plain = replace(WATER, rota=(), rota_first=None)
    assert (words_on(plain, MONDAY), rota_in_words(plain)) == ("Water", "")


def test_a_reason_that_nobody_can_tell_says_so_first() -> None:
    warm = terms(schedule=OnWarmDay(over_c=25))
    unknown = AirTold(warmth=Warmth.CANNOT_TELL, words="nothing heard from Hazel shed since 9:02")
    over = AirTold(warmth=Warmth.OVER, words="29.3° at 13:10 in Hazel shed")
    assert why_on(warm, MONDAY, unknown).startswith("cannot tell whether it is due")
    assert why_on(warm, MONDAY, unknown).endswith("since 9:02")
    assert why_on(warm, MONDAY, over).endswith("every 4 h: 29.3° at 13:10 in Hazel shed")
