"""What a bird is called on pages, and which bird somebody means who types. Pure."""

from collections.abc import Mapping, Sequence

from service.nests.nest import Bird, Pair
from service.nests.place import Place

_SHOWN = 4


def bird_label(bird: Bird) -> str:
    """``HZ 25 001 Moss``: its ring and name; its number in the book where it has no ring."""
    if bird.ring:
        return f"{bird.ring} {bird.name}" if bird.name else bird.ring
    return f"{bird.name} (bird {bird.id})" if bird.name else f"bird {bird.id}"


def bird_meant(text: str, birds: Sequence[Bird], what: str) -> Bird | str:
    """The one bird that ``text`` names, or a sentence that says why there is none.

    A label, a ring or a name counts whole, in any case of letters; ``what`` begins the sentence.
    """
    wanted = " ".join(text.split()).casefold()
    for names in (_label, _ring, _name):
        found = [bird for bird in birds if names(bird) == wanted]
        if len(found) == 1:
            return found[0]
        if found:
            told = ", ".join(bird_label(bird) for bird in found[:_SHOWN])
            return f"{what}: {text} may be {told}; type the ring."
    near = [bird for bird in birds if wanted in _label(bird)][:_SHOWN]
    hint = "a ring or a name that stands in the book"
    if near:
        hint += f", such as {', '.join(bird_label(bird) for bird in near)}"
    return f"{what}: no bird is called {text}; allowed: {hint}."


def _label(bird: Bird) -> str:
    return " ".join(bird_label(bird).split()).casefold()


def _ring(bird: Bird) -> str:
    return " ".join((bird.ring or "").split()).casefold()


def _name(bird: Bird) -> str:
    return " ".join((bird.name or "").split()).casefold()


def is_found(bird: Bird, text: str, where: str = "") -> bool:
    """Whether every word of ``text`` stands in what the book knows of a bird; no word finds all."""
    known = " ".join(
        (bird_label(bird), bird.variety or "", bird.sex.value, bird.life.value, where)
    ).casefold()
    return all(word in known for word in text.casefold().split())


def standing_pairs(pairs: Sequence[Pair]) -> dict[int, Pair]:
    """The pair in which each bird is put up now, by bird."""
    return {
        bird.id: pair for pair in pairs if pair.ended_on is None for bird in (pair.cock, pair.hen)
    }


def whereabouts(bird: Bird, paired: Mapping[int, Pair], places: Sequence[Place]) -> str:
    """The cage it is put up in, else the place it was said to live in; empty where nobody said."""
    pair = paired.get(bird.id)
    where = pair.cage if pair else bird.place
    return next((place.name for place in places if place.id == where), where or "")
