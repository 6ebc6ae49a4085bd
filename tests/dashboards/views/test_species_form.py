"""The days in a nest as a form: sources kept or taken, every fault in words."""

from dataclasses import fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.views.species_form import (
    SET_BY_YOU,
    SPAN_WORDS,
    in_words,
    read_species,
    span_rows,
)
from service.nests.species import DaySpan, EggSpan, SpeciesSettings

BUILT_IN = SpeciesSettings()


def test_every_span_has_words_and_a_row() -> None:
    assert set(SPAN_WORDS) == {field.name for field in fields(BUILT_IN)}
    assert [row.name for row in span_rows(BUILT_IN)] == list(SPAN_WORDS)


def test_what_stands_in_the_form_reads_back_as_it_was() -> None:
    typed: dict[str, str] = {}
    for row in span_rows(BUILT_IN):
        typed |= {f"{row.name}.{part}": getattr(row, part) for part in ("least", "most", "source")}
    assert read_species(typed, BUILT_IN).species == BUILT_IN


def test_a_changed_span_has_the_keeper_as_its_source() -> None:
    typed = {"hatch_after_sitting.least": "17,5", "hatch_after_sitting.most": "21"}
    read = read_species(typed, BUILT_IN).species
    assert read is not None
    assert read.hatch_after_sitting == DaySpan(least=17.5, most=21, source=SET_BY_YOU)


def test_a_source_that_was_typed_is_kept() -> None:
    typed = {
        "eggs_before_sitting.least": "2",
        "eggs_before_sitting.most": "2",
        "eggs_before_sitting.source": "  our own\nbook, 2025 ",
    }
    read = read_species(typed, BUILT_IN).species
    assert read is not None
    assert read.eggs_before_sitting == EggSpan(least=2, most=2, source="our own book, 2025")


def test_a_source_alone_can_be_put_right() -> None:
    read = read_species({"ring_after_hatch.source": "the ring office"}, BUILT_IN).species
    assert read == replace(
        BUILT_IN, ring_after_hatch=replace(BUILT_IN.ring_after_hatch, source="the ring office")
    )


def test_an_emptied_source_is_the_keepers() -> None:
    read = read_species({"ring_after_hatch.source": " "}, BUILT_IN).species
    assert read is not None
    assert read.ring_after_hatch.source == SET_BY_YOU


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"hatch_after_sitting.least": "21"}, "21 to 20 ends before it begins"),
        ({"hatch_after_sitting.least": "x"}, "'x' is no number of days; write 17 or 17.5"),
        ({"hatch_after_sitting.least": ""}, "'' is no number of days"),
        ({"hatch_after_sitting.most": "nan"}, "nan days can't be; days run from 0 to 365"),
        ({"hatch_after_sitting.most": "1e9"}, "1e9 days can't be"),
        ({"hatch_after_sitting.least": "-1"}, "-1 days can't be"),
        ({"eggs_before_sitting.least": "0"}, "there is no egg 0; eggs count from 1 to 30"),
        ({"eggs_before_sitting.most": "1.5"}, "'1.5' is no number of an egg"),
        ({"eggs_before_sitting.least": "4"}, "4 to 3 ends before it begins"),
        ({"ring_after_hatch.source": "x" * 201}, "has 201 letters, 200 are the most"),
    ],
)
def test_what_cannot_be_is_told_with_its_name(typed: dict[str, str], words: str) -> None:
    read = read_species(typed, BUILT_IN)
    assert read.species is None
    (fault,) = read.wrong
    name = next(iter(typed)).partition(".")[0]
    assert fault.startswith(SPAN_WORDS[name].capitalize())
    assert words in fault


def test_all_faults_are_told_at_once_and_what_was_typed_stays() -> None:
    typed = {"hatch_after_sitting.least": "x", "ring_after_hatch.most": "y"}
    assert len(read_species(typed, BUILT_IN).wrong) == 2
    rows = {row.name: row for row in span_rows(BUILT_IN, typed)}
    assert rows["hatch_after_sitting"].least == "x"
    assert rows["ring_after_hatch"].most == "y"
    assert rows["ring_after_hatch"].least == "7"


@given(
    st.dictionaries(
        st.sampled_from([f"{n}.{p}" for n in SPAN_WORDS for p in ("least", "most", "source")]),
        st.text(max_size=12),
    )
)
def test_whatever_is_typed_is_read_or_told(typed: dict[str, str]) -> None:
    read = read_species(typed, BUILT_IN)
    assert (read.species is None) == bool(read.wrong)


def test_spans_in_words() -> None:
    assert in_words(BUILT_IN.fledge_after_hatch) == "28 to 35 days (common practice, no source)"
    assert in_words(BUILT_IN.eggs_before_sitting) == "egg 1 to 3 (common practice, no source)"
