"""Spans of the species and their sources."""

from dataclasses import fields

import pytest

from service.nests.species import DaySpan, SpeciesSettings


def test_every_span_says_who_says_so() -> None:
    settings = SpeciesSettings()
    spans = [getattr(settings, field.name) for field in fields(settings)]
    sources = [span.source for span in spans if isinstance(span, DaySpan)]
    assert len(sources) == len(spans) - 1
    assert all(sources)


@pytest.mark.parametrize(("least", "most"), [(3, 2), (-1, 2), (float("nan"), 2)])
def test_span_that_runs_backwards_is_refused(least: float, most: float) -> None:
    with pytest.raises(ValueError, match="is not a span"):
        DaySpan(least=least, most=most)


def test_sitting_before_the_first_egg_is_refused() -> None:
    with pytest.raises(ValueError, match="can't sit from egg 0"):
        SpeciesSettings(eggs_before_sitting=0)
