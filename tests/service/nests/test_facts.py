"""Facts of the book as text and back, whatever a keeper writes."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.nests.book_correction import Subject
from service.nests.facts import FACTS, Fact, Part, PartKind, as_text, fact_of, from_text

TIMES = st.datetimes(timezones=st.just(UTC))
PARTS = {
    PartKind.TIME: TIMES,
    PartKind.NUMBER: st.integers(-10_000, 10_000).map(lambda whole: whole / 100),
    PartKind.WHOLE: st.integers(0, 10**9),
    PartKind.TEXT: st.text(min_size=1),
}


def parts(part: Part) -> st.SearchStrategy[object]:
    known = st.sampled_from(list(part.words)) if part.words else PARTS[part.kind]
    return st.one_of(st.none(), known)


@given(st.data(), st.sampled_from(FACTS))
def test_every_fact_comes_back_from_its_text(data: st.DataObject, fact: Fact) -> None:
    value = tuple(data.draw(parts(part)) for part in fact.parts)
    assert from_text(fact, as_text(fact, value)) == value


def test_parts_stand_in_their_order_and_nothing_for_what_is_not_known() -> None:
    at = datetime(2026, 3, 4, 7, 5, tzinfo=UTC)
    laid = fact_of(Subject.EGG, "laid")
    assert as_text(laid, (at, at + timedelta(days=1))) == (
        "2026-03-04T07:05:00+00:00;2026-03-05T07:05:00+00:00"
    )
    assert as_text(laid, (None, at)) == ";2026-03-04T07:05:00+00:00"
    assert as_text(laid, (None, None)) is None


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("soon;later", "'soon' is not a time"),
        ("2026-03-04T07:05:00;", "is not a time"),
        ("2026-03-04T07:05:00+00:00", "1 parts instead of 2"),
    ],
)
def test_text_that_is_no_fact_is_refused_with_the_reason(text: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        from_text(fact_of(Subject.EGG, "laid"), text)


@pytest.mark.parametrize("subject", [Subject.BIRD, Subject.PAIR])
def test_birds_and_pairs_have_no_facts_here(subject: Subject) -> None:
    with pytest.raises(LookupError, match="can be corrected"):
        fact_of(subject, "ring")
