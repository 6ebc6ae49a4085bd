"""Dead letters as the pages handle them: one by its mark, and all of a topic read again."""

import hashlib
from collections.abc import Sequence

from dashboards.page_services import PageServices
from service.errors import NotKnownError
from service.intake.mqtt_topics import matches
from service.people.role import Visitor
from service.store.alarm_store import RequestKind
from service.store.reading_store import DeadLetter

_MARK_LENGTH = 24
_MOST_TOPICS = 50


def mark_of(letter: DeadLetter) -> str:
    """What stands for a letter in an address: the same for equal letters."""
    parts = (letter.topic.encode(), letter.reason.encode(), letter.payload)
    digest = hashlib.sha256(b"\0".join(parts), usedforsecurity=False)
    return digest.hexdigest()[:_MARK_LENGTH]


def letter_with(letters: Sequence[DeadLetter], mark: str) -> DeadLetter:
    """The letter of a mark.

    Raises:
        NotKnownError: it is kept no more: it was read, or pushed out.
    """
    found = next((one for one in letters if mark_of(one) == mark), None)
    if found is None:
        raise NotKnownError("This message is not kept any more: it was read, or pushed out.")
    return found


def retry_letters(services: PageServices, who: Visitor, topic_filter: str) -> int | None:
    """Ask watch to read the letters under a filter again; the id of the last request.

    None where there is none under it.
    """
    topics = dict.fromkeys(
        one.topic
        for one in services.readings.dead_letters()
        if one.topic == topic_filter or matches(topic_filter, one.topic)
    )
    asked = None
    for topic in list(topics)[:_MOST_TOPICS]:
        asked = services.requests.ask(
            RequestKind.RETRY_LETTERS, topic, by=who.name, at=services.clock.now()
        )
    return asked
