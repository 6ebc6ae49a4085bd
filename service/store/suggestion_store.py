"""What may be asked of a store of suggestions."""

from collections.abc import Sequence
from datetime import datetime
from typing import Protocol

from service.nests.suggestion import Answer, Suggestion


class SuggestionStore(Protocol):
    """Parts of the service make suggestions; people answer them; both are kept for good.

    Writing raises StoreUnavailableError when the store stays busy; nothing is changed then.
    """

    def suggest(self, *, place: str, kind: str, words: str, at: datetime) -> Suggestion:
        """A new one, or the one of this place, kind and words that is not answered yet.

        Raises:
            NotKnownError: no such place.
            InputError: without words.
        """
        ...

    def suggestions(self, since: datetime) -> Sequence[Suggestion]:
        """Those without a yes or a no, and those answered since then; the oldest first."""
        ...

    def answer(
        self,
        suggestion_id: int,
        answer: Answer | None,
        *,
        at: datetime,
        by: str | None,
        later_until: datetime | None = None,
    ) -> Suggestion:
        """Answer it; None takes an answer back. Returns what stands.

        A yes or no that somebody gave before stands: who comes later sees it, and takes it back
        first to say otherwise.

        Raises:
            NotKnownError: no such suggestion.
        """
        ...
