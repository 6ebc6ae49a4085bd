"""A dead letter has a mark of its own."""

from datetime import UTC, datetime

import pytest

from dashboards.letters import letter_with, mark_of
from service.errors import NotKnownError
from service.store.reading_store import DeadLetter

AT = datetime(2026, 4, 20, 12, 0, tzinfo=UTC)


def letter(topic: str = "a/b", payload: bytes = b"x", reason: str = "why") -> DeadLetter:
    return DeadLetter(topic=topic, payload=payload, reason=reason, at=AT)


def test_letters_that_differ_have_different_marks() -> None:
    letters = [
        letter(),
        letter(topic="a/bx", payload=b""),
        letter(topic="a/b", payload=b"y"),
        letter(reason="another"),
        letter(payload=b"\xff\x00"),
    ]
    assert len({mark_of(one) for one in letters}) == len(letters)


def test_a_letter_is_found_by_its_mark_however_often_it_came() -> None:
    later = DeadLetter(topic="a/b", payload=b"x", reason="why", at=AT, count=9)
    assert letter_with([letter(reason="other"), later], mark_of(letter())) is later


@pytest.mark.parametrize("mark", ["", "0", "../../x", "x" * 1000])
def test_a_mark_of_nothing_is_not_known(mark: str) -> None:
    with pytest.raises(NotKnownError, match="not kept any more"):
        letter_with([letter()], mark)
