"""Which step of the first day comes next."""

from dataclasses import replace
from pathlib import Path

import pytest

from dashboards.views.first_steps import STEPS, Step, next_step, step_frame, steps_set
from service.climate.light_plan import LightPlan, Site
from tests.dashboards.filled_shed import ZONE, settings


def test_a_bare_machine_begins_with_the_keeper() -> None:
    assert next_step([]) is Step.KEEPER


def test_the_next_step_is_the_one_after_the_last_that_is_set() -> None:
    assert next_step({Step.KEEPER}) is Step.SHED
    assert next_step({Step.KEEPER, Step.SHED}) is Step.LAMPS
    assert next_step({Step.KEEPER, Step.SHED, Step.CAGES}) is Step.PHONES


def test_without_a_keeper_all_else_leads_back_to_making_one() -> None:
    assert next_step(set(STEPS) - {Step.KEEPER}) is Step.KEEPER


def test_with_a_keeper_and_a_value_the_first_day_is_over() -> None:
    assert next_step({Step.KEEPER, Step.SENSOR}) is None


def test_every_step_leads_back_and_on() -> None:
    frames = [step_frame(step) for step in STEPS]
    assert [frame.number for frame in frames] == [1, 2, 3, 4, 5, 6]
    assert [frame.back for frame in frames] == [None, *(step.address for step in STEPS[:-1])]
    assert [frame.skip for frame in frames] == [*(step.address for step in STEPS[1:]), "/start"]


def test_nothing_is_set_on_a_bare_machine(tmp_path: Path) -> None:
    site = Site(timezone=ZONE)
    bare = replace(settings(tmp_path), site=site, light=LightPlan(site=site), places=())
    assert steps_set(bare, has_keeper=False, has_value=False) == frozenset()


@pytest.mark.parametrize(
    ("bind", "is_set"), [("127.0.0.1", False), ("::1", False), ("0.0.0.0", True)]
)
def test_phones_are_in_once_the_pages_answer_beyond_this_machine(
    tmp_path: Path, bind: str, *, is_set: bool
) -> None:
    shed = replace(settings(tmp_path), bind=bind)
    assert (Step.PHONES in steps_set(shed, has_keeper=True, has_value=False)) is is_set
