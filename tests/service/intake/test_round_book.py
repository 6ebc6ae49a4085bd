"""What is kept of a round of listening stays small, whatever is sent."""

from datetime import UTC, datetime

from service.intake.round_book import AGAIN_AFTER_S, MOST_BYTES_AT_ONCE, MOST_TOPICS, RoundBook
from service.store.reading_store import Overheard

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


def one(topic: str, payload: bytes = b"1") -> Overheard:
    return Overheard(topic=topic, payload=payload, reason="no feed", at=NOON)


def test_a_new_topic_is_told_at_once_with_its_newest_message_and_count() -> None:
    book = RoundBook()
    book.note(one("a", b"1"))
    book.note(one("a", b"2"))
    assert [(told.payload, told.count) for told in book.take(0.0)] == [(b"2", 2)]
    assert book.take(1.0) == []


def test_a_topic_that_floods_is_told_again_only_after_a_while_and_no_count_is_lost() -> None:
    book = RoundBook()
    counted = 0
    told = 0
    for n in range(1000):
        book.note(one("a"))
        counted += 1
        told += sum(1 for _ in book.take(n * 0.1))
    assert told == 1 + int(1000 * 0.1 / AGAIN_AFTER_S)
    assert sum(left.count for left in book.take_all()) < counted


def test_counts_of_all_that_is_told_add_up() -> None:
    book = RoundBook()
    total = 0
    for n in range(500):
        book.note(one("a"))
        total += sum(told.count for told in book.take(float(n)))
    assert total + sum(left.count for left in book.take_all()) == 500


def test_of_endless_topics_the_newest_are_kept() -> None:
    book = RoundBook()
    for n in range(10 * MOST_TOPICS):
        book.note(one(f"t/{n}"))
    kept = [told.topic for told in book.take(0.0)]
    assert len(kept) == MOST_TOPICS
    assert kept[-1] == f"t/{10 * MOST_TOPICS - 1}"
    assert len(book._told_at) <= MOST_TOPICS


def test_large_messages_are_told_a_few_at_a_time() -> None:
    book = RoundBook()
    for n in range(MOST_TOPICS):
        book.note(one(f"t/{n}", b"x" * 65_536))
    first = book.take(0.0)
    assert sum(len(told.payload) for told in first) < MOST_BYTES_AT_ONCE + 65_537
    taken = len(first)
    while more := book.take(1.0):
        taken += len(more)
    assert taken == MOST_TOPICS
