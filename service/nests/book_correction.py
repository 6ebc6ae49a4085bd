"""A fact of the nest book that was changed by hand, with what stood before."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Subject(StrEnum):
    """What the fact is about."""

    CLUTCH = "clutch"
    EGG = "egg"
    CHICK = "chick"
    BIRD = "bird"
    PAIR = "pair"
    MOVE = "move"
    WEIGHING = "weighing"


@dataclass(frozen=True, slots=True, kw_only=True)
class BookCorrection:
    """``fact`` is what was changed ("laid to"); ``before`` and ``after`` as text, None: nothing.

    ``clutch_id`` is the clutch whose story it belongs to, where there is one. A correction
    that was undone stays, with who undid it and when.
    """

    id: int
    subject: Subject
    subject_id: int
    clutch_id: int | None
    fact: str
    before: str | None
    after: str | None
    why: str | None
    by: str | None
    at: datetime
    undone_at: datetime | None = None
    undone_by: str | None = None
