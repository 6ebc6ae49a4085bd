"""When the lamps burn, and how much light that is."""

from dataclasses import replace
from datetime import time, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.views.lamps_form import (
    LampsForm,
    lamps_form,
    light_in_words,
    light_time,
    read_lamps,
    typed_lamps,
)
from service.climate.light_plan import LampSchedule, LightPlan, Site
from tests.dashboards.filled_shed import ZONE, settings

FORM = LampsForm(has="yes", on="06:30", off="20:30", dim="30")


def test_lamps_are_read() -> None:
    assert read_lamps(FORM) == LampSchedule(
        on=time(6, 30), off=time(20, 30), dim=timedelta(minutes=30)
    )


def test_no_lamps_need_no_times() -> None:
    assert read_lamps(LampsForm(has="no", on="", off="", dim="")) is None


@pytest.mark.parametrize(
    ("on", "off", "words"),
    [
        ("06:30", "20:30", "14 h of light, 10 h of dark"),
        ("18:00", "08:30", "14 h 30 min of light, overnight, 9 h 30 min of dark"),
        ("00:00", "23:59", "23 h 59 min of light, 0 h 1 min of dark"),
    ],
)
def test_the_light_is_told_in_hours(on: str, off: str, words: str) -> None:
    schedule = read_lamps(replace(FORM, on=on, off=off, dim="0"))
    assert isinstance(schedule, LampSchedule)
    assert light_in_words(schedule) == words


@given(st.times(), st.times())
def test_light_and_dark_fill_a_day(on: time, off: time) -> None:
    on, off = on.replace(second=0, microsecond=0), off.replace(second=0, microsecond=0)
    lit = light_time(LampSchedule(on=on, off=off))
    dark = light_time(LampSchedule(on=off, off=on))
    assert lit + dark == (timedelta(days=1) if on != off else timedelta(0))


@pytest.mark.parametrize(
    "changed",
    [
        {"has": ""},
        {"has": "perhaps"},
        {"on": "24:00"},
        {"on": "6.30"},
        {"off": ""},
        {"off": "06:30"},
        {"dim": "-1"},
        {"dim": "half"},
        {"dim": "721"},
        {"dim": "421"},
        {"dim": "9" * 5000},
    ],
)
def test_what_can_t_be_is_refused_in_words(changed: dict[str, str]) -> None:
    faults = read_lamps(replace(FORM, **changed))
    assert isinstance(faults, tuple)
    assert all(fault.endswith(".") for fault in faults)


def test_what_is_set_is_shown_as_it_may_be_sent_again(tmp_path: Path) -> None:
    schedule = LampSchedule(on=time(18), off=time(8), dim=timedelta(minutes=20))
    plan = LightPlan(site=Site(timezone=ZONE), schedule=schedule)
    form = lamps_form(replace(settings(tmp_path), light=plan))
    sent = {"has": form.has, "on": form.on, "off": form.off, "dim": form.dim}
    assert read_lamps(typed_lamps(sent)) == schedule
