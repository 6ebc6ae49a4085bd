"""Schedules, rotas and visits as they stand in columns."""

import json
from datetime import date, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.nests.duty import (
    BeforeItSours,
    ByCalendar,
    ByStage,
    EveryDays,
    OnWarmDay,
    RotaStep,
    Schedule,
    Visit,
    Weekday,
)
from service.nests.stage import Stage
from service.store.duty_json import (
    rota_of,
    rota_text,
    schedule_of,
    schedule_text,
    visits_of,
    visits_text,
)

schedules = st.one_of(
    st.builds(ByCalendar, weekdays=st.frozensets(st.sampled_from(Weekday))),
    st.builds(EveryDays, days=st.integers(1, 366), first=st.dates()),
    st.builds(ByStage, stages=st.frozensets(st.sampled_from(Stage)), every=st.integers(1, 366)),
    st.just(BeforeItSours(put_out=time(6, 30), stages=frozenset({Stage.REARING}))),
    st.builds(OnWarmDay, over_c=st.floats(-10, 50), every_h=st.floats(1, 24)),
)
rotas = st.lists(st.builds(RotaStep, words=st.text(), days=st.integers(1, 366))).map(tuple)


@given(schedules)
def test_any_schedule_comes_back_as_it_was(schedule: Schedule) -> None:
    assert schedule_of(schedule_text(schedule)) == schedule


@given(rotas, st.permutations(list(Visit)).map(tuple))
def test_any_rota_and_visits_come_back_as_they_were(
    rota: tuple[RotaStep, ...], visits: tuple[Visit, ...]
) -> None:
    assert rota_of(rota_text(rota)) == rota
    assert visits_of(visits_text(visits)) == visits


def test_a_schedule_reads_in_words_in_the_file() -> None:
    told = json.loads(schedule_text(EveryDays(days=14, first=date(2026, 3, 1))))
    assert told == {"kind": "every days", "days": 14, "first": "2026-03-01"}


def test_a_kind_that_nobody_knows_is_refused() -> None:
    with pytest.raises(ValueError, match="full moon"):
        schedule_of('{"kind": "full moon"}')
