"""What the keeper is asked when a check and the nest's history don't agree."""

from dataclasses import dataclass
from enum import StrEnum


class QuestionKind(StrEnum):
    """What doesn't agree."""

    NOT_YET = "a look that is still to come"
    OLDER = "older than the last look"
    NO_PAIR = "no pair for these eggs"
    UNKNOWN_EGG = "no such egg"
    UNKNOWN_CHICK = "no such chick"
    TOLD_TWICE = "one egg, two stories"
    FEWER_EGGS = "fewer eggs than expected"
    MORE_EGGS = "more eggs than a hen can lay"
    FEWER_CHICKS = "fewer chicks than expected"
    MORE_CHICKS = "more chicks than can have hatched"
    WHICH_HATCHED = "a chick, and nobody knows of which egg"
    TOO_EARLY = "hatched before its time"
    RING = "the ring"
    CLEAR = "a chick from a clear egg"
    MASS = "a mass that can't be"
    MEANWHILE = "changed since the page was opened"


SURE = "it is so"
NOT_IN_SIGHT = "not in sight"


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """``sentence`` is for the keeper. ``how_many`` of the eggs (or chicks, by their eggs'
    numbers) in ``numbers``, and of the guests in ``guests`` (ids of their eggs), are to be
    answered for, each with one of ``choices``: the words of EggFate or ChickFate, NOT_IN_SIGHT
    for an egg that must lie there, or SURE where the check may be sent again with ``sure``.
    Without choices the check itself is to be put right.
    """

    kind: QuestionKind
    sentence: str
    numbers: tuple[int, ...] = ()
    guests: tuple[int, ...] = ()
    choices: tuple[str, ...] = ()
    how_many: int = 0
