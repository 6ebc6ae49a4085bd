"""Spans of the species and their sources."""

from dataclasses import fields

import pytest

from service.nests.species import DaySpan, EggSpan, SpeciesSettings


def test_every_span_says_who_says_so() -> None:
    settings = SpeciesSettings()
    assert all(getattr(settings, field.name).source for field in fields(settings))


@pytest.mark.parametrize(("least", "most"), [(3, 2), (-1, 2), (float("nan"), 2)])
def test_span_that_runs_backwards_is_refused(least: float, most: float) -> None:
    with pytest.raises(ValueError, match="is not a span"):
        DaySpan(least=least, most=most)


@pytest.mark.parametrize(("least", "most"), [(0, 2), (3, 2)])
def test_sitting_before_the_first_egg_or_backwards_is_refused(least: int, most: int) -> None:
    with pytest.raises(ValueError, match=f"can't sit from egg {least} to egg {most}"):
        EggSpan(least=least, most=most)
