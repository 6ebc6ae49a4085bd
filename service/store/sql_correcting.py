"""Facts of the nest book changed by hand, and changed back, within the caller's transaction.

What stood before is kept beside who changed it, when and why. The same rules hold for a
correction and for its undoing.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import Connection, select, update

from service.errors import InputError, NotKnownError
from service.nests.book_correction import BookCorrection, Subject
from service.nests.contradictions import contradictions
from service.nests.correcting import (
    NotInClutchError,
    StandsInTheWayError,
    value_in,
    with_value,
)
from service.nests.facts import Fact, Value, as_text, fact_of, from_text
from service.nests.guests import living_at_home
from service.nests.nest import Clutch
from service.nests.place import PlaceKind
from service.store.sql_book_tables import MOVES, WEIGHINGS
from service.store.sql_clutch_reading import last_clutches, read_clutches
from service.store.sql_clutch_writing import boxes_of, replace_clutch
from service.store.sql_nest_reading import read_nests
from service.store.sql_rings import refuse_worn_rings
from service.store.sql_rows import boxes_moved_on, insert_row
from service.store.sql_tables import CHICKS, CLUTCHES, CORRECTIONS, EGGS, PLACES
from service.store.sql_weighing import put_weighing, weighing_value


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """``facts`` of one subject, by name, as text (None: nothing); by whom, when and why."""

    subject: Subject
    subject_id: int
    facts: Mapping[str, str | None]
    at: datetime
    by: str | None = None
    why: str | None = None


def correct(connection: Connection, change: Change) -> list[BookCorrection]:
    """Change all of the facts, or none; facts that are so already are passed over.

    Raises:
        NotKnownError: no such subject, or no such fact of it.
        InputError: a value that is none, or that contradicts the rest of the book.
    """
    facts = [(_fact(change.subject, name), text) for name, text in change.facts.items()]
    of = _clutch_id(connection, change.subject, change.subject_id)
    told = _apply(connection, change, of, facts)
    return [_keep(connection, change, of, one) for one in told]


def undo(connection: Connection, correction_id: int, by: str | None, at: datetime) -> None:
    """Put back what stood before; see ``NestBook.undo``."""
    asked = select(CORRECTIONS).where(CORRECTIONS.c.id == correction_id)
    row = connection.execute(asked).mappings().first()
    if row is None:
        raise NotKnownError(f"there is no correction {correction_id}")
    told = BookCorrection(**row)
    if told.subject in (Subject.BIRD, Subject.PAIR):
        raise NotKnownError(f"correction {correction_id} is of a {told.subject}")
    if told.undone_at is not None:
        raise InputError("This correction was undone already.")
    if _later(connection, told):
        raise InputError(
            "A later correction of the same fact stands on this one: undo that one first."
        )
    fact = _fact(told.subject, told.fact)
    change = Change(
        subject=told.subject,
        subject_id=told.subject_id,
        facts={told.fact: told.before},
        at=at,
        by=by,
    )
    if _standing(connection, fact, told) != told.after:
        raise InputError("A look, or something else, has changed this since: it can't be undone.")
    _apply(connection, change, told.clutch_id, [(fact, told.before)])
    undone = {"undone_at": at, "undone_by": by}
    connection.execute(update(CORRECTIONS).where(CORRECTIONS.c.id == told.id).values(undone))


@dataclass(frozen=True, slots=True)
class _Told:
    """A fact that changed."""

    fact: Fact
    before: str | None
    after: str | None


Facts = Sequence[tuple[Fact, str | None]]


def _apply(
    connection: Connection, change: Change, clutch_id: int | None, facts: Facts
) -> list[_Told]:
    if change.subject is Subject.WEIGHING:
        return [_weighing(connection, change, fact, text) for fact, text in facts]
    if clutch_id is None:
        raise NotKnownError(f"there is no {change.subject} {change.subject_id}")
    return _in_clutch(connection, _clutch(connection, clutch_id), change, facts)


def _standing(connection: Connection, fact: Fact, told: BookCorrection) -> str | None:
    """The fact as it stands now."""
    if told.subject is Subject.WEIGHING:
        return as_text(fact, weighing_value(connection, fact, told.subject_id))
    if told.clutch_id is None:
        return None
    try:
        return as_text(fact, value_in(_clutch(connection, told.clutch_id), fact, told.subject_id))
    except NotInClutchError:
        return None


def _weighing(connection: Connection, change: Change, fact: Fact, text: str | None) -> _Told:
    was = as_text(fact, weighing_value(connection, fact, change.subject_id))
    put_weighing(connection, fact, change.subject_id, _value(fact, text), change.at)
    return _Told(fact, was, text)


def _in_clutch(connection: Connection, before: Clutch, change: Change, facts: Facts) -> list[_Told]:
    told: list[_Told] = []
    after = before
    try:
        for fact, text in facts:
            value = _value(fact, text)
            was = as_text(fact, value_in(after, fact, change.subject_id))
            if was != as_text(fact, value):
                after = with_value(after, fact, change.subject_id, value)
                told.append(_Told(fact, was, as_text(fact, value)))
    except NotInClutchError as error:
        raise NotKnownError(str(error)) from error
    except StandsInTheWayError as error:
        raise InputError(str(error)) from error
    if not told:
        return []
    after = _going_on(connection, before, after)
    _refuse(connection, before, after, change.at)
    _refuse_weighed(connection, before, after)
    _refuse_unknown_boxes(connection, boxes_of(after) - boxes_of(before))
    replace_clutch(connection, before, after)
    boxes_moved_on(connection, boxes_of(before) | boxes_of(after))
    return told


def _going_on(connection: Connection, before: Clutch, clutch: Clutch) -> Clutch:
    """A clutch of which something lies at home again is not over.

    One over whose young the next round began stays closed.

    Raises:
        InputError: the next clutch of that box has begun, or another pair was put up there.
    """
    if clutch.closed_at is None or living_at_home(clutch) <= living_at_home(before):
        return clutch
    (nest,) = read_nests(connection, clutch.box)
    if nest.pair is not None and nest.pair.id != clutch.pair_id:
        raise InputError(
            f"Another pair was put up at {nest.box.name} since: eggs that are found there are "
            "theirs, so nothing of this round lies there."
        )
    if last_clutches(connection, [clutch.box])[clutch.box].id != clutch.id:
        raise InputError("The next round in this box has begun: nothing of this one lies there.")
    return replace(clutch, closed_at=None)


def _refuse(connection: Connection, before: Clutch, after: Clutch, now: datetime) -> None:
    """What contradicted before is no reason against a correction of something else."""
    known = set(contradictions(before, now))
    new = [words for words in contradictions(after, now) if words not in known]
    if new:
        raise InputError(" ".join(new))
    worn = {chick.egg_number: chick.ring for chick in before.chicks}
    ids = {egg.number: egg.id for egg in after.eggs}
    put_on = [
        (ids[chick.egg_number], chick.ring)
        for chick in after.chicks
        if chick.ring is not None and worn.get(chick.egg_number) != chick.ring
    ]
    refuse_worn_rings(connection, put_on)


def _refuse_weighed(connection: Connection, before: Clutch, after: Clutch) -> None:
    """An egg that was weighed was there."""
    never_were = {egg.id for egg in before.eggs} - {egg.id for egg in after.eggs}
    weighed = select(WEIGHINGS.c.id).where(WEIGHINGS.c.egg_id.in_(never_were))
    if never_were and connection.execute(weighed).first():
        raise InputError("It was weighed: take the weighing back first.")


def _refuse_unknown_boxes(connection: Connection, boxes: Collection[str]) -> None:
    """Eggs are moved into nest boxes of this shed."""
    known = select(PLACES.c.id).where(PLACES.c.kind == PlaceKind.BOX)
    unknown = set(boxes) - set(connection.execute(known).scalars())
    if unknown:
        raise InputError(f"There is no nest box {min(unknown)[:40]!r}.")


def _fact(subject: Subject, name: str) -> Fact:
    try:
        return fact_of(subject, name)
    except LookupError as error:
        raise NotKnownError(str(error)) from error


def _value(fact: Fact, text: str | None) -> Value:
    try:
        return from_text(fact, text)
    except ValueError as error:
        raise InputError(f"{fact.name}: {error}") from error


def _clutch(connection: Connection, clutch_id: int) -> Clutch:
    (clutch,) = read_clutches(connection, CLUTCHES.c.id == clutch_id)
    return clutch


def _clutch_id(connection: Connection, subject: Subject, subject_id: int) -> int | None:
    """Of the clutch whose story the subject belongs to; None for a bird's weighing.

    Raises:
        NotKnownError: there is no such subject.
    """
    of_egg = select(EGGS.c.clutch_id)
    weighed = select(EGGS.c.clutch_id).select_from(WEIGHINGS).outerjoin(EGGS)
    asked = {
        Subject.CLUTCH: select(CLUTCHES.c.id).where(CLUTCHES.c.id == subject_id),
        Subject.EGG: of_egg.where(EGGS.c.id == subject_id),
        Subject.CHICK: select(CHICKS.c.clutch_id).where(CHICKS.c.id == subject_id),
        Subject.MOVE: of_egg.join(MOVES).where(MOVES.c.id == subject_id),
        Subject.WEIGHING: weighed.where(WEIGHINGS.c.id == subject_id),
    }
    if subject not in asked:
        raise NotKnownError(f"a {subject} is not corrected here")
    found = connection.execute(asked[subject]).first()
    if found is None:
        raise NotKnownError(f"there is no {subject} {subject_id}")
    clutch_id: int | None = found[0]
    return clutch_id


def _later(connection: Connection, told: BookCorrection) -> bool:
    later = select(CORRECTIONS.c.id).where(
        CORRECTIONS.c.subject == told.subject,
        CORRECTIONS.c.subject_id == told.subject_id,
        CORRECTIONS.c.fact == told.fact,
        CORRECTIONS.c.id > told.id,
        CORRECTIONS.c.undone_at.is_(None),
    )
    return connection.execute(later).first() is not None


def _keep(
    connection: Connection, change: Change, clutch_id: int | None, told: _Told
) -> BookCorrection:
    values = {
        "subject": change.subject,
        "subject_id": change.subject_id,
        "clutch_id": clutch_id,
        "fact": told.fact.name,
        "before": told.before,
        "after": told.after,
        "why": change.why,
        "by": change.by,
        "at": change.at,
    }
    return BookCorrection(id=insert_row(connection, CORRECTIONS, values), **values)  # type: ignore[arg-type]
