"""What is to come in a nest, as spans with their reasons."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class DueKind(StrEnum):
    """What a nest needs a person for."""

    NEXT_EGG = "next egg"
    CLUTCH_COMPLETE = "clutch complete"
    CANDLE = "candle"
    HATCH = "hatch"
    RING = "ring"
    HIDE_IN = "hide in"
    FLEDGE = "fledge"
    INDEPENDENT = "independent"
    SPLIT = "split"
    BOX_OFF = "box off"


DueKey = tuple[DueKind, int | None, int | None]
"""Kind, egg's id, and number of an egg that is still to be laid: what stays when a span moves."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """Between ``since`` and ``until`` (UTC) ``kind`` is to be expected.

    ``box`` is where it lies now. ``egg_number`` is None for what concerns the whole box;
    ``egg_id`` is the book's, None for an egg that is still to be laid. ``laid_in`` is the box
    of a guest's own clutch, None for those that were laid here. ``why`` is one plain sentence
    that names the facts it rests on.
    """

    kind: DueKind
    box: str
    egg_number: int | None
    since: datetime
    until: datetime
    why: str
    egg_id: int | None = None
    laid_in: str | None = None

    @property
    def key(self) -> DueKey:
        """The same due has the same key however its span moves."""
        return (self.kind, self.egg_id, None if self.egg_id is not None else self.egg_number)
