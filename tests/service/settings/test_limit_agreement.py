"""Limits that cross, limits that are off, the built-in ones beside those of the pages; rules."""

from pathlib import Path
from typing import Any

import pytest

from service.rules.rule_settings import RuleSettings
from service.rules.settables import SETTABLES
from service.settings.in_force import examine, settings_of
from service.settings.settings import Settings
from service.settings.stated import Stated
from service.store.kept_settings import Kept

SETTABLE = next(one for one in SETTABLES if one.numbers)
NUMBER = SETTABLE.numbers[0]
BUILT_IN = ["shed-cold", "shed-hot", "shed-damp", "shed-dry"]


def limit(id: str, **keys: object) -> dict[str, object]:  # noqa: A002 - the key of the file
    return {"id": id, "place": "shed", "quantity": "temperature", **keys}


def faults(*limits: dict[str, object], **more: Any) -> list[tuple[str, str]]:
    """Key and problem of every fault."""
    found = examine({"limit": list(limits), **more}).faults
    return [(str(one.path[-1]), one.problem) for one in found]


def settings(kept: dict[str, Any], file: dict[str, Any] | None = None) -> Settings:
    stated = Stated(document=file or {}, file=Path("/etc/shed.toml") if file else None)
    return settings_of(stated, Path("/data"), Kept(document=kept, revision=1))


def ids(found: Settings) -> list[str]:
    return [one.id for one in found.limits]


def test_a_low_limit_above_a_high_one_is_refused() -> None:
    assert faults(limit("hot", high=18.0), limit("cold", low=20.0)) == [("low", "crosses hot")]
    assert faults(limit("cold", low=20.0), limit("hot", high=20.0)) == [("high", "crosses cold")]
    assert faults(limit("cold", low=18.0), limit("hot", high=20.0)) == []


def test_deadbands_that_leave_no_room_between_two_limits_are_refused() -> None:
    wide = limit("cold", low=18.0, deadband=3.0)
    assert faults(limit("hot", high=20.0), wide) == [("deadband", "leaves no room")]
    assert faults(limit("hot", high=21.0), wide) == []


@pytest.mark.parametrize(
    "other",
    [
        limit("cold", low=20.0, when="night"),
        limit("cold", low=20.0, during="resting"),
        limit("cold", low=20.0, on=False),
        {**limit("cold", low=20.0), "place": "box"},
        {**limit("cold", low=20.0), "quantity": "relative_humidity"},
    ],
    ids=["night", "resting", "off", "another place", "another quantity"],
)
def test_limits_that_never_hold_together_do_not_cross(other: dict[str, object]) -> None:
    places = [{"id": "shed", "kind": "shed"}, {"id": "box", "kind": "box"}]
    hot = limit("hot", high=18.0, when="day", during="breeding")
    assert faults(hot, other, place=places) == []


def test_a_limit_of_the_pages_must_not_cross_a_built_in_one() -> None:
    found = settings({"limit": [limit("mine", low=31.0)]})
    assert ids(found) == BUILT_IN
    assert "crosses shed-hot; allowed: a number below 30 °C" in found.faults[0]


def test_limits_of_the_pages_stand_beside_the_built_in_ones() -> None:
    found = settings({"limit": [limit("shed-cold", low=7.0), limit("mine", high=28.0)]})
    assert ids(found) == [*BUILT_IN, "mine"]
    assert next(one for one in found.limits if one.id == "shed-cold").low == 7.0
    assert found.limits_built_in


def test_limits_of_the_file_stand_in_place_of_the_built_in_ones() -> None:
    file = {"limit": [limit("stated", low=3.0)]}
    assert ids(settings({"limit": [limit("mine", high=28.0)]}, file)) == ["stated", "mine"]
    both = settings({"limits": {"built_in": True}}, file)
    assert ids(both) == [*BUILT_IN, "stated"]


def test_a_limit_that_is_off_is_kept_and_does_not_hold() -> None:
    found = settings({"limit": [limit("shed-cold", low=7.0, on=False)]})
    assert "shed-cold" not in ids(found)
    assert [one.low for one in found.limits_off] == [7.0]


def test_without_the_built_in_limits_and_any_other_there_is_none() -> None:
    assert settings({"limits": {"built_in": False}}).limits == ()


def test_a_rule_is_as_usual_until_it_is_set() -> None:
    usual = RuleSettings()
    assert usual.is_on(SETTABLE.kind) is SETTABLE.usually_on
    assert usual.number(SETTABLE.kind, NUMBER.key) == NUMBER.usual
    rule = {"kind": SETTABLE.kind, "on": False, "numbers": {NUMBER.key: NUMBER.most}}
    found = settings({"rule": [rule]}).rules
    assert not found.is_on(SETTABLE.kind)
    assert found.number(SETTABLE.kind, NUMBER.key) == NUMBER.most


def test_a_number_of_a_rule_beyond_its_bounds_is_refused_with_all_other_faults() -> None:
    rules = [
        {"kind": SETTABLE.kind, "numbers": {NUMBER.key: NUMBER.most + 1, "moon": 1}},
        {"kind": SETTABLE.kind},
        {"kind": "moonlight"},
    ]
    found = [(one.path, one.problem) for one in examine({"rule": rules}).faults]
    assert found == [
        (("rule", 1, "kind"), "is there twice"),
        (("rule", 0, "numbers", NUMBER.key), "is not allowed"),
        (("rule", 0, "numbers", "moon"), "is no number of this rule"),
        (("rule", 2, "kind"), "is no known kind of rule"),
    ]


def test_every_rule_has_words_and_numbers_of_its_own() -> None:
    kinds = [one.kind for one in SETTABLES]
    assert len(set(kinds)) == len(kinds)
    for one in SETTABLES:
        assert all((one.name, one.says, one.needs))
        assert len(one.usual) == len(one.numbers)
