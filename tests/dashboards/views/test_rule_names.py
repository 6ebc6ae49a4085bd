"""What people call a rule."""

from dataclasses import replace
from pathlib import Path

import pytest

from dashboards.views.rule_names import kind_name, rule_name
from service.rules.limit import During, When
from service.rules.rationales import RATIONALES
from tests.dashboards.filled_shed import limits, settings

SET_UP = settings(Path("/nowhere"))


@pytest.mark.parametrize(
    ("rule", "name"),
    [
        ("cold", "Hazel shed: temperature under 5°"),
        ("overdue:th-2", "A sensor is silent: th-2"),
        ("overdue-together:shed", "Several sensors fell silent together: Hazel shed"),
        ("set-no-more", "set-no-more"),
        ("nothing-like-it:shed", "nothing-like-it:shed"),
    ],
)
def test_a_rule_is_called_by_what_it_allows_or_by_its_subject(rule: str, name: str) -> None:
    assert rule_name(rule, SET_UP) == name


def test_when_a_limit_holds_is_part_of_its_name() -> None:
    night = replace(limits()[0], when=When.NIGHT, during=During.RESTING)
    name = rule_name("cold", replace(SET_UP, limits=(night,)))
    assert name == "Hazel shed: temperature under 5° by night while birds rest"


@pytest.mark.parametrize("kind", RATIONALES)
def test_every_kind_of_rule_has_a_name(kind: str) -> None:
    assert kind_name(kind)
