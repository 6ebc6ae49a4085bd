"""Has a nest changed since a page showed it? Pure.

A page that stood open in a pocket, or on a second phone, tells of a nest that may be another by
now. What it showed is told by a short sign, which the form carries; the same sign, the same nest.
"""

import hashlib
from collections.abc import Iterator, Sequence
from datetime import datetime, tzinfo

from service.nests.nest import Chick, Clutch, Egg, Nest
from service.nests.question import Question, QuestionKind

_LETTERS = 16
_MOST_LOOKS_TOLD = 3


def sign_of(nest: Nest) -> str:
    """Of all that a look may change: what lies there, what is known of it, and whose it is.

    A look that found nothing new leaves the sign as it was; so do the times.
    """
    told = repr([*_clutch(nest.clutch), nest.pair.id if nest.pair else 0, *_guests(nest)])
    return hashlib.sha256(told.encode()).hexdigest()[:_LETTERS]


def ask_about_meanwhile(
    nest: Nest,
    seen: str,
    told_since: Sequence[tuple[str, tuple[str, ...]]],
) -> tuple[Question, ...]:
    """A question where the nest is another than the page had shown.

    ``seen`` is the sign that the form carries. ``told_since`` are the looks since then, each as
    who and when, and what it changed.
    """
    if seen == sign_of(nest):
        return ()
    looks = [f"{who}: {', '.join(changes) or 'nothing new'}" for who, changes in told_since] or [
        "the book of this box was changed"
    ]
    sentence = (
        f"Since this page was opened: {'; '.join(looks[-_MOST_LOOKS_TOLD:])}. "
        "The numbers below follow that. Is the rest as you told it? Then save it."
    )
    return (Question(kind=QuestionKind.MEANWHILE, sentence=sentence),)


def who_and_when(nest: Nest, last_look: str, zone: tzinfo) -> tuple[tuple[str, str], ...]:
    """The looks after the one that the page knew as the last: form id, and who and when."""
    ids = [str(check.form_id) for check in nest.checks]
    # One that is not there belonged to a clutch before: every look of this one came since.
    since = ids.index(last_look) + 1 if last_look in ids else 0
    return tuple(
        (str(check.form_id), f"{check.by or 'a look'}, {_when(check.at.astimezone(zone))}")
        for check in nest.checks[since:]
    )


def _when(at: datetime) -> str:
    return f"{at.day} {at:%B} {at:%H:%M}"


def _clutch(clutch: Clutch | None) -> Iterator[object]:
    if clutch is None:
        return
    yield clutch.round
    yield clutch.closed_at is None
    yield clutch.hide_in_at is None
    yield from (_egg(egg, clutch) for egg in clutch.eggs)
    yield from (_chick(chick) for chick in clutch.chicks)


def _guests(nest: Nest) -> Iterator[object]:
    for guest in nest.guests:
        yield _egg(guest.egg, guest.clutch)
        if guest.chick is not None:
            yield _chick(guest.chick)


def _egg(egg: Egg, clutch: Clutch) -> tuple[object, ...]:
    return (egg.id, egg.number, egg.candling, egg.fate, egg.box(clutch.box))


def _chick(chick: Chick) -> tuple[object, ...]:
    return (chick.egg_number, chick.ring, chick.fate)
