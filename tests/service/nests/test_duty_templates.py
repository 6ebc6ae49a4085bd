"""The duties to begin with."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from service.nests.duties_due import duties_due
from service.nests.duty import LONGEST_CAUTION, LONGEST_NAME, Duty, EveryDays
from service.nests.duty_templates import TEMPLATES, DutyTemplate, terms_of
from service.nests.rota import rota_on
from tests.service.nests.duties_at_hand import shed

NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)
TODAY = date(2026, 3, 2)


def named(key: str) -> DutyTemplate:
    return next(one for one in TEMPLATES if one.key == key)


def test_all_that_a_shed_begins_with_is_there_under_names_of_its_own() -> None:
    keys = {one.key for one in TEMPLATES}
    assert keys >= {
        "seed",
        "soft food",
        "grit and charcoal",
        "water",
        "trays",
        "box check",
        "mite look",
        "deep clean",
    }
    assert len({one.name.casefold() for one in TEMPLATES}) == len(TEMPLATES) == len(keys)


def test_water_is_two_days_plain_and_two_with_supplement() -> None:
    # Common practice, no source.
    water = terms_of(named("water"), now=NOW, today=TODAY)
    assert water.rota_first is not None
    words = [
        rota_on(water.rota, water.rota_first, date(2026, 3, day)).step.words for day in range(2, 7)
    ]
    assert words == ["plain water"] * 2 + ["with supplement"] * 2 + ["plain water"]


@pytest.mark.parametrize("template", TEMPLATES, ids=lambda one: one.key)
def test_no_template_names_a_dose_and_each_fits_its_own_form(template: DutyTemplate) -> None:
    told = " ".join([template.name, template.caution, *(step.words for step in template.rota)])
    assert not re.search(r"\d+ ?(ml|mg|g|drops?|%|per litre)\b", told)
    assert len(template.name) <= LONGEST_NAME
    assert len(template.caution) <= LONGEST_CAUTION


@pytest.mark.parametrize("key", ["water", "mite look", "deep clean", "trays"])
def test_work_that_can_hurt_carries_its_caution(key: str) -> None:
    assert named(key).caution


def test_supplements_are_as_the_label_or_the_vet_says() -> None:
    assert "as the label or your vet says" in named("water").caution


def test_intervals_begin_on_the_day_on_which_the_duty_is_made() -> None:
    clean = terms_of(named("deep clean"), now=NOW, today=TODAY)
    assert clean.schedule == EveryDays(days=28, first=TODAY)
    assert clean.since == NOW


def test_a_shed_that_takes_all_of_them_has_something_to_do_at_once() -> None:
    duties = [
        replace(Duty(id=0, terms=terms_of(one, now=NOW, today=TODAY)), id=nth)
        for nth, one in enumerate(TEMPLATES)
    ]
    found = {due.duty.name for due in duties_due(duties, [], shed(NOW, UTC))}
    assert {"Seed", "Water", "Deep clean"} <= found
