"""A table as a part's parameters: what is said holds, what can't be is told with its range."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from enum import StrEnum
from typing import Any

import pytest

from simulated_feeds.impossible import ImpossibleParameterError, allowed, refuse_impossible
from simulated_feeds.scenario_files.parts import part


class Colour(StrEnum):
    GREEN = "green"
    BLUE = "blue"


@dataclass(frozen=True, slots=True, kw_only=True)
class Inner:
    depth_cm: float = allowed(0.0, 50.0, "cm", default=5.0)

    def __post_init__(self) -> None:
        refuse_impossible(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameters:
    loss_w_per_k: float = allowed(1.0, 200.0, "W/K", default=22.0)
    count: int = 9
    open_: bool = False
    mean_c: float | None = None
    on: time = time(6, 30)
    since: date = date(2026, 1, 1)
    dim: timedelta = timedelta(minutes=30)
    colour: Colour = Colour.GREEN
    inner: Inner = Inner()
    shares: Mapping[int, float] = field(default_factory=lambda: {1: 1.0})
    effects: Mapping[Colour, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        refuse_impossible(self)
        if self.count == 13:
            raise ImpossibleParameterError("count", 13, "any other number")


def read(table: dict[str, Any], **given: Any) -> Parameters:
    faults: list[str] = []
    made = part(Parameters, table, "building", faults, given=given)
    assert faults == []
    assert made is not None
    return made


def faults_of(table: dict[str, Any], **given: Any) -> list[str]:
    faults: list[str] = []
    assert part(Parameters, table, "building", faults, given=given) is None
    return faults


def test_an_empty_table_is_the_preset() -> None:
    assert read({}) == Parameters()


@pytest.mark.parametrize(
    ("table", "made"),
    [
        ({"loss_w_per_k": 30}, Parameters(loss_w_per_k=30.0)),
        ({"mean_c": 9.5}, Parameters(mean_c=9.5)),
        ({"on": "05:45"}, Parameters(on=time(5, 45))),
        ({"on": time(5, 45)}, Parameters(on=time(5, 45))),
        ({"since": date(2026, 3, 1)}, Parameters(since=date(2026, 3, 1))),
        ({"dim": "1.5 h"}, Parameters(dim=timedelta(minutes=90))),
        ({"colour": "blue"}, Parameters(colour=Colour.BLUE)),
        ({"inner": {"depth_cm": 7}}, Parameters(inner=Inner(depth_cm=7.0))),
        ({"shares": {"2": 0.5, "3": 0.5}}, Parameters(shares={2: 0.5, 3: 0.5})),
        ({"effects": {"blue": -1}}, Parameters(effects={Colour.BLUE: -1.0})),
    ],
    ids=lambda value: next(iter(value)) if isinstance(value, dict) else "",
)
def test_what_a_table_says_holds(table: dict[str, Any], made: Parameters) -> None:
    assert read(table) == made


def test_what_is_known_from_elsewhere_holds_and_can_not_be_said_again() -> None:
    assert read({}, count=4).count == 4
    assert faults_of({"count": 3}, count=4) == ["building.count can't be set here"]


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ({"loss_w_per_k": 500.0}, ["loss_w_per_k", "500", "1 to 200 W/K"]),
        ({"loss_w_per_k": float("nan")}, ["loss_w_per_k", "nan", "1 to 200 W/K"]),
        ({"loss_w_per_k": True}, ["loss_w_per_k", "True", "1 to 200 W/K"]),
        ({"loss_w_per_k": "30"}, ["loss_w_per_k", "'30'", "1 to 200 W/K"]),
        ({"count": 13}, ["count", "13", "any other number"]),
        ({"inner": {"depth_cm": 90}}, ["inner", "depth_cm", "90", "0 to 50 cm"]),
        ({"dim": "30"}, ["dim", "'30'", "30 min"]),
        ({"colour": "red"}, ["colour", "'red'", "green"]),
        ({"effects": {"red": 1.0}}, ["effects", "red", "green"]),
        ({"loss": 5}, ["building.loss", "not known", "loss_w_per_k", "inner"]),
    ],
    ids=lambda value: next(iter(value)) if isinstance(value, dict) else "",
)
def test_what_can_not_be_is_named_with_value_and_what_is_allowed(
    table: dict[str, Any], words: list[str]
) -> None:
    (sentence,) = faults_of(table)
    assert sentence.startswith("building")
    for word in words:
        assert word in sentence


def test_faults_of_several_keys_are_all_told() -> None:
    assert len(faults_of({"count": "nine", "colour": "red", "dim": 3})) == 3
