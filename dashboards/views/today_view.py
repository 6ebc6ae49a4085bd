"""Today's list as it is shown: the walk from place to place, and what is due at each. Pure.

A stop is a cage with its boxes, a flight, the shed, or another place that a duty names. What was
done shrinks to a line; the first that is not done is the one where the keeper stands.
"""

from dataclasses import dataclass
from datetime import datetime

from dashboards.views.box_look import BoxLook
from dashboards.views.local_words import count
from dashboards.views.night_words import NightWords


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyPart:
    """One duty at one place. ``token`` names its slot in a form; ``done_id`` is None while due.

    ``note`` says since when, of which day, or who did it and when; ``why`` where the duty comes
    from. ``mine`` is False where somebody did it whose taps this visitor may not take back.
    """

    token: str
    turn: int
    words: str
    note: str
    why: str
    caution: str
    done_id: int | None = None
    at: datetime | None = None
    by: str = ""
    mine: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class SuggestionPart:
    """``answered`` says who said what; empty while it is asked."""

    id: int
    words: str
    made: str
    answered: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Undo:
    """What the last tap at a stop did, to be taken back with one tap."""

    done_ids: tuple[int, ...] = ()
    looks: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.done_ids or self.looks)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxPart:
    """A box at a stop. ``wanted``: it is to be looked into at this visit and was not yet.

    ``plain``: nothing is expected in it today, so that "as expected" says all. ``tokens`` are
    the slots of the duties to look into it.
    """

    look: BoxLook
    wanted: bool
    plain: bool
    tokens: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """``standing`` is "done", "now", "later" or "nothing" (nothing is due there)."""

    place: str
    label: str
    name: str
    boxes: tuple[BoxPart, ...]
    night: NightWords | None
    duties: tuple[DutyPart, ...]
    suggestions: tuple[SuggestionPart, ...]
    standing: str
    told: str
    told_more: str
    undo: Undo

    @property
    def due(self) -> tuple[DutyPart, ...]:
        """What is still to be done."""
        return tuple(part for part in self.duties if part.done_id is None)

    @property
    def wanted(self) -> tuple[BoxPart, ...]:
        """The boxes that are still to be looked into."""
        return tuple(part for part in self.boxes if part.wanted)

    @property
    def is_plain(self) -> bool:
        """Whether "all done, as expected" says all that there is to say."""
        return all(part.plain for part in self.wanted)

    @property
    def one_tap(self) -> str:
        """``Seed, Water; Box 3: still 5 eggs``: what one tap at this stop tells."""
        duties = ", ".join(part.words for part in self.due)
        looks = [f"{part.look.name}: {part.look.still}" for part in self.wanted]
        return "; ".join([*([duties] if duties else []), *looks])


@dataclass(frozen=True, slots=True, kw_only=True)
class TodayView:
    """``shelved`` says which dangers nobody is told of now, empty where there are none.
    ``tonight`` is what is expected of the coming night, empty where nothing may be said.
    ``all_due`` are the tokens of all duties that are due; boxes are looked into one by one."""

    title: str
    verdict: str
    night: str
    tonight: str
    stops: tuple[Stop, ...]
    done: int
    todo: int
    looks: int
    dropped: tuple[str, ...]
    no_duties: bool
    low: tuple[str, ...]
    form_id: str
    shelved: str = ""

    @property
    def all_due(self) -> tuple[str, ...]:
        """The tokens of every duty that is due, whichever stop it is at."""
        return tuple(part.token for stop in self.stops for part in stop.due)

    @property
    def looks_words(self) -> str:
        """``3 boxes to look in``; empty where none is left."""
        return f"{count(self.looks, 'box', 'boxes')} to look in" if self.looks else ""

    @property
    def low_words(self) -> str:
        """What runs low, by name."""
        return ", ".join(self.low) if self.low else "Nothing just now"
