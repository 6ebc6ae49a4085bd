"""Kinship in plain words: what it is, the number, what it means, how much the book knows. Pure.

That kin have more eggs that fail: Spottiswoode, C. and Moller, A. P. (2004), Genetic similarity
and hatching success in birds, Proc. R. Soc. B 271, 267-272 (from memory).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from dashboards.views.bird_names import bird_label
from dashboards.views.local_words import count
from service.nests.kinship import (
    Kinship,
    KnownForebears,
    PedigreeLoopError,
    known_forebears,
    parents_of,
)
from service.nests.nest import Bird
from service.nests.relation import Relation, relation


@dataclass(frozen=True, slots=True, kw_only=True)
class KinshipView:
    """``number`` is F of the chicks in per cent: "at least", where forebears are not known."""

    what: str
    number: str
    meaning: str
    known: str
    further: str = ""


class Kin:
    """Tells of one book's birds how close kin they are."""

    def __init__(self, birds: Mapping[int, Bird]) -> None:
        """Take all birds of the book.

        Raises:
            PedigreeLoopError: a bird is a forebear of its own.
        """
        self._birds = birds
        self._parents = parents_of(birds.values())
        self._kinship = Kinship(self._parents)

    def of_pair(self, cock: Bird, hen: Bird) -> KinshipView:
        """Two birds that are, or may be, put up together."""
        return self._told(cock, hen, "a chick of theirs", "the chicks")

    def of_parents(self, bird: Bird) -> KinshipView | None:
        """The parents of a bird; None where one of them is not known."""
        sire, dam = self._birds.get(bird.sire_id or 0), self._birds.get(bird.dam_id or 0)
        if sire is None or dam is None:
            return None
        return self._told(sire, dam, "this bird", "this bird")

    def closeness(self, cock: Bird, hen: Bird) -> tuple[float, str]:
        """F of their chicks for putting in order, and it all in a few words."""
        found = relation(cock.id, hen.id, self._parents, self._kinship)
        return found.coancestry, self._short(found, cock, hen)

    def _short(self, found: Relation, cock: Bird, hen: Bird) -> str:
        known = known_forebears(self._parents, cock.id, hen.id)
        gaps = "" if known[1].all else f"; {known[1].known} of 4 grandparents known"
        if found.words is None:
            return f"no common forebear in the book{gaps}"
        return f"{found.words}, {_at_least(known)}{per_cent(found.coancestry)}{gaps}"

    def _told(self, cock: Bird, hen: Bird, who: str, whose: str) -> KinshipView:
        found = relation(cock.id, hen.id, self._parents, self._kinship)
        known = known_forebears(self._parents, cock.id, hen.id)
        return KinshipView(
            what=self._what(found),
            number=_number(found.coancestry, known),
            meaning=_meaning(found.coancestry, known, who),
            known=_known(known, whose),
            further=_FURTHER if found.further else "",
        )

    def _what(self, found: Relation) -> str:
        if found.words is None:
            return "No common forebear stands in the book"
        words = found.words[0].upper() + found.words[1:]
        shared = " and ".join(
            bird_label(self._birds[one]) for one in found.shared if one in self._birds
        )
        if found.words.endswith("brother and sister"):
            return f"{words}, both out of {shared}"
        if "cousins" in found.words or "uncle" in found.words or "aunt" in found.words:
            return f"{words}, by {shared}"
        return words


def kin_or_loop(birds: Mapping[int, Bird]) -> Kin | str:
    """The book's kinship, or in words why none can be told: a bird is its own forebear in it."""
    try:
        return Kin(birds)
    except PedigreeLoopError as error:
        names = [bird_label(birds[one]) for one in error.birds if one in birds]
        return f"{' is out of '.join(names)}: a parent there is wrong."


_FURTHER = (
    "The two are closer kin than that alone: the same forebears stand in more than one place of "
    "the pedigree."
)


def per_cent(share: float) -> str:
    """``12.5 %``, ``3.125 %``: four figures that count, which is exact for close kin."""
    return f"{100 * share:.4g} %"


def _at_least(known: tuple[KnownForebears, ...]) -> str:
    return "" if all(one.all for one in known) else "at least "


def _number(share: float, known: tuple[KnownForebears, ...]) -> str:
    if share > 0:
        return f"{_at_least(known)}{per_cent(share)}"
    return "0 %" if all(one.all for one in known) else "no kinship known"


def _parts(share: float) -> str:
    """``1 part in 8 is``, ``3 parts in 8 are``."""
    part = Fraction(share).limit_denominator(16)
    if share < 1 / 16:
        part = Fraction(1, round(1 / share))
    verb = "is" if part.numerator == 1 else "are"
    return f"{count(part.numerator, 'part')} in {part.denominator} {verb}"


def _meaning(share: float, known: tuple[KnownForebears, ...], who: str) -> str:
    if share > 0:
        return (
            f"Of what {who} inherits, about {_parts(share)} expected to come twice from one and "
            "the same forebear, once by each parent."
        )
    if all(one.all for one in known):
        return "Three generations back they share nobody; what lay before, the book does not know."
    return "The book knows too little to call them strangers: kin may be among those not known."


def _known(known: tuple[KnownForebears, ...], whose: str) -> str:
    _, grandparents, great = known
    return (
        f"As far as the book knows: {grandparents.known} of 4 grandparents and {great.known} of 8 "
        f"great-grandparents of {whose} stand in it."
    )
