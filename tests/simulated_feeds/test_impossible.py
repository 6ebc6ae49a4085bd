"""What cannot be is refused by name, with what is allowed."""

import math
from dataclasses import dataclass

import pytest

from devices.errors import ClutchweatherError
from simulated_feeds.impossible import (
    ImpossibleParameterError,
    Span,
    allowed,
    refuse_impossible,
    span_of,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pond:
    depth_m: float = allowed(0.1, 3.0, "m", default=1.0)
    fish: int = allowed(0, 40)
    name: str = "pond"
    shade: float | None = allowed(0.0, 1.0, default=None)

    def __post_init__(self) -> None:
        refuse_impossible(self)


def test_values_at_both_ends_are_allowed() -> None:
    assert Pond(depth_m=0.1, fish=40).fish == 40
    assert Pond(depth_m=3.0, fish=0).depth_m == 3.0


def test_parameter_without_a_default_must_be_given() -> None:
    with pytest.raises(TypeError, match="fish"):
        Pond(depth_m=1.0)


@pytest.mark.parametrize("depth", [0.09, 3.1, -math.inf, math.inf, math.nan, True, "deep", None])
def test_value_outside_is_refused(depth: object) -> None:
    with pytest.raises(ImpossibleParameterError, match=r"depth_m is .*; allowed is 0\.1 to 3 m"):
        Pond(depth_m=depth, fish=1)  # type: ignore[arg-type]


def test_refusal_holds_its_facts_apart() -> None:
    with pytest.raises(ImpossibleParameterError) as refused:
        Pond(fish=41)
    assert (refused.value.parameter, refused.value.value) == ("fish", 41)
    assert refused.value.allowed == "0 to 40"
    assert isinstance(refused.value, ClutchweatherError)
    assert isinstance(refused.value, ValueError)


def test_range_can_be_asked_for() -> None:
    assert span_of(Pond(fish=1), "depth_m") == Span(0.1, 3.0, "m")
    assert span_of(Pond(fish=1), "name") is None


def test_none_is_allowed_where_it_is_the_preset_value() -> None:
    assert Pond(fish=1).shade is None
    with pytest.raises(ImpossibleParameterError, match="shade"):
        Pond(fish=1, shade=1.1)
