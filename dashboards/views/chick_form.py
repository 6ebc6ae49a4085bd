"""The form on which a chick becomes a bird of the book. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from dashboards.views.book_view import address_of
from service.errors import InputError
from service.nests.book_correction import Subject
from service.nests.nest import Bird, Chick, Pair, Sex
from service.nests.parentage import called, day_in_words
from service.nests.place import Place
from service.nests.typed_text import text_fault


@dataclass(frozen=True, slots=True, kw_only=True)
class ChickFormView:
    """What is known stands in ``known`` as sentences; the fields are what is still asked."""

    box: str
    title: str
    address: str
    known: tuple[str, ...]
    sex: str
    sexes: tuple[str, ...]
    name: str
    variety: str
    wrong: str | None = None


def chick_form(
    place: Place,
    chick: Chick,
    pair: Pair,
    sent: Mapping[str, str],
    *,
    hatched_on: date | None,
    wrong: str | None = None,
) -> ChickFormView:
    """A new form, or one that comes back as it was sent."""
    ring = f"Ring {chick.ring}." if chick.ring else "It wears no ring."
    known = [ring, f"Out of {called(pair.cock)} and {called(pair.hen)}."]
    if hatched_on is not None:
        known.append(f"First seen on {day_in_words(hatched_on)}.")
    return ChickFormView(
        box=place.id,
        title=f"Chick {chick.egg_number} of {place.name} becomes a bird",
        address=f"{address_of(place.id, Subject.CHICK, chick.id)}/bird",
        known=tuple(known),
        sex=sent.get("sex", Sex.UNKNOWN),
        sexes=tuple(Sex),
        name=sent.get("name", ""),
        variety=sent.get("variety", ""),
        wrong=wrong,
    )


def bird_sent(sent: Mapping[str, str], hatched_on: date | None) -> Bird:
    """What the form told; ring and parents follow from the chick.

    Raises:
        InputError: no sex of the three, or a text that is too long.
    """
    try:
        sex = Sex(sent.get("sex", Sex.UNKNOWN))
    except ValueError as error:
        raise InputError(f"Sex: {sent.get('sex')!r}; allowed: {', '.join(Sex)}.") from error
    for field in ("name", "variety"):
        if (fault := text_fault(sent.get(field, "").strip(), 80)) is not None:
            raise InputError(f"{field.capitalize()}: {fault}.")
    return Bird(
        id=0,
        sex=sex,
        name=sent.get("name", "").strip() or None,
        variety=sent.get("variety", "").strip() or None,
        hatched_on=hatched_on,
    )
