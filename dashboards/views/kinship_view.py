"""Kinship in plain words: what it is, the number, what it means, how much the book knows. Pure.

That kin have more eggs that fail: Spottiswoode, C. and Moller, A. P. (2004), Genetic similarity
and hatching success in birds, Proc. R. Soc. B 271, 267-272 (from memory).
"""

from collections.abc import Mapping
from dataclasses import dataclass

from dashboards.views.bird_names import bird_label
from service.nests.kinship import Kinship, KnownForebears, Parents, known_forebears
from service.nests.nest import Bird
from service.nests.relation import Relation, relation


@dataclass(frozen=True, slots=True, kw_only=True)
class KinshipView:
    """``number`` is F of the chicks in per cent, in words; ``share`` the same as a part."""

    what: str
    number: str
    share: str
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
        self._parents: dict[int, Parents] = {
            bird.id: (bird.sire_id, bird.dam_id) for bird in birds.values()
        }
        self._kinship = Kinship(self._parents)

    def of_pair(self, cock: Bird, hen: Bird) -> KinshipView:
        """Two birds that are, or may be, put up together."""
        return self._told(cock, hen, "in a chick of theirs", "of the chicks")

    def of_parents(self, bird: Bird) -> KinshipView | None:
        """The parents of a bird; None where one of them is not known."""
        sire, dam = self._birds.get(bird.sire_id or 0), self._birds.get(bird.dam_id or 0)
        if sire is None or dam is None:
            return None
        return self._told(sire, dam, f"in {bird_label(bird)}", f"of {bird_label(bird)}")

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

    def _told(self, cock: Bird, hen: Bird, inside: str, whose: str) -> KinshipView:
        found = relation(cock.id, hen.id, self._parents, self._kinship)
        known = known_forebears(self._parents, cock.id, hen.id)
        return KinshipView(
            what=self._what(found),
            number=f"{_at_least(known)}{per_cent(found.coancestry)}",
            share=_share(found.coancestry),
            meaning=_meaning(found.coancestry, known, inside),
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


_FURTHER = (
    "They are closer than that alone: the same forebears stand in more than one place of the "
    "pedigree."
)


def per_cent(share: float) -> str:
    """``12.5 %``, ``3.125 %``: four figures that count, which is exact for close kin."""
    return f"{100 * share:.4g} %"


def _at_least(known: tuple[KnownForebears, ...]) -> str:
    return "" if all(one.all for one in known) else "at least "


def _share(share: float) -> str:
    if share <= 0:
        return ""
    return f"1 in {1 / share:.0f}" if share <= 0.4 else f"{100 * share:.0f} in 100"


def _meaning(share: float, known: tuple[KnownForebears, ...], inside: str) -> str:
    if share > 0:
        return (
            f"About {_share(share)} of the places {inside} is expected to hold the same piece of "
            "inheritance twice, come down from one forebear on both sides."
        )
    if all(one.all for one in known):
        return "Three generations back they share nobody; what lay before, the book does not know."
    return "The book knows too little to call them strangers: kin may be among those not known."


def _known(known: tuple[KnownForebears, ...], whose: str) -> str:
    _, grandparents, great = known
    return (
        f"As far as the book knows: {grandparents.known} of 4 grandparents and {great.known} of 8 "
        f"great-grandparents {whose} stand in it."
    )
