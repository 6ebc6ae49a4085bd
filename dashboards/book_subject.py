"""One egg, chick, move, mass or round of the book of a box, as pages ask for it."""

from collections.abc import Mapping
from dataclasses import dataclass

from dashboards.page_services import PageServices
from dashboards.views.book_view import address_of, facts_of, subject_title
from service.errors import NotKnownError
from service.nests.book_correction import Subject
from service.nests.correcting import NotInClutchError, value_in
from service.nests.facts import Fact, Value
from service.nests.nest import Chick, Clutch, Nest


@dataclass(frozen=True, slots=True, kw_only=True)
class BookSubject:
    """One subject of the book of a box, with its facts as they stand."""

    nest: Nest
    clutch: Clutch
    subject: Subject
    number: int
    facts: Mapping[Fact, Value]

    @property
    def title(self) -> str:
        return f"{subject_title(self.subject, self.number, self.clutch)} of {self.nest.box.name}"

    @property
    def address(self) -> str:
        return address_of(self.nest.box.id, self.subject, self.number)

    @property
    def chick(self) -> Chick | None:
        chicks = (one for one in self.clutch.chicks if self.subject is Subject.CHICK)
        return next((one for one in chicks if one.id == self.number), None)


def find_subject(services: PageServices, box: str, subject: Subject, number: int) -> BookSubject:
    """A subject of a clutch that was laid in this box.

    Raises:
        NotKnownError: there is none.
    """
    nest = services.nest_book.nest(box)
    for clutch in services.nest_book.clutches_in(box):
        facts = _facts(services, clutch, subject, number)
        if facts is not None:
            return BookSubject(
                nest=nest, clutch=clutch, subject=subject, number=number, facts=facts
            )
    raise NotKnownError(f"The book of {nest.box.name} has no {subject} {number}.")


def _facts(
    services: PageServices, clutch: Clutch, subject: Subject, number: int
) -> Mapping[Fact, Value] | None:
    """None where the clutch has no such subject."""
    facts = facts_of(subject)
    if subject is Subject.WEIGHING:
        for one in services.nest_book.weighings_of(clutch.id):
            if one.id == number:
                return {f: tuple(getattr(one, part.name) for part in f.parts) for f in facts}
        return None
    try:
        told = {fact: value_in(clutch, fact, number) for fact in facts}
    except NotInClutchError:
        return None
    if subject is Subject.MOVE and all(one is None for value in told.values() for one in value):
        return None
    return told or None
