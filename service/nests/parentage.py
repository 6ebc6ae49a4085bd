"""Whether what is said of a bird can be: its ring, its days, its parents and its young. Pure."""

from collections.abc import Iterable, Mapping
from datetime import date
from itertools import pairwise

from service.nests.kinship import PedigreeLoopError, depths, parents_of
from service.nests.nest import Bird, Life, Pair, Sex


def called(bird: Bird) -> str:
    """What a sentence calls a bird: its ring, else its name, else its number in the book."""
    return bird.ring or bird.name or f"bird {bird.id}"


def bird_faults(bird: Bird, birds: Mapping[int, Bird], today: date) -> tuple[str, ...]:
    """Every contradiction in words, none where all can be.

    ``birds`` are all of the book; that of the same id is taken as replaced by ``bird``.
    ``today`` is the shed's own day. What nobody knows (a day, a parent) contradicts nothing.
    """
    others = {one.id: one for one in birds.values() if one.id != bird.id}
    faults = [*_ring(bird, others), *_days(bird, today)]
    for parent_id, is_sire in ((bird.sire_id, True), (bird.dam_id, False)):
        if parent_id is not None:
            faults += _parent(bird, parent_id, others, is_sire=is_sire)
    faults += _young(bird, others)
    return (*faults, *_loop(bird, others))


def _ring(bird: Bird, others: Mapping[int, Bird]) -> list[str]:
    wanted = (bird.ring or "").casefold()
    for one in others.values():
        if wanted and one.ring and one.ring.casefold() == wanted:
            of = f"{one.name}, " if one.name else ""
            return [
                f"Ring {bird.ring}: another bird has it ({of}{one.life.value}, bird {one.id}); "
                "a ring is given once."
            ]
    return []


def _days(bird: Bird, today: date) -> list[str]:
    faults = []
    hatched, since = bird.hatched_on, bird.life_since
    if hatched is not None and hatched > today:
        faults.append(
            f"Hatched: {day_in_words(hatched)} is yet to come; allowed: up to "
            f"{day_in_words(today)}."
        )
    if since is not None and since > today:
        faults.append(
            f"Since: {day_in_words(since)} is yet to come; allowed: up to {day_in_words(today)}."
        )
    if hatched is not None and since is not None and since < hatched:
        faults.append(
            f"Since: {day_in_words(since)} is before {called(bird)} hatched, on "
            f"{day_in_words(hatched)}."
        )
    return faults


def _parent(bird: Bird, parent_id: int, others: Mapping[int, Bird], *, is_sire: bool) -> list[str]:
    what, not_that = ("Sire", Sex.HEN) if is_sire else ("Dam", Sex.COCK)
    if parent_id == bird.id:
        return [f"{what}: {called(bird)} can't be its own parent."]
    parent = others.get(parent_id)
    if parent is None:
        return [f"{what}: there is no bird {parent_id} in the book."]
    faults = []
    if parent.sex is not_that:
        is_a = "hen" if is_sire else "cock"
        faults.append(
            f"{what}: {called(parent)} is a {is_a}; a {what.lower()} is a "
            f"{'cock' if is_sire else 'hen'}."
        )
    return faults + _younger(parent, bird)


def _younger(parent: Bird, young: Bird) -> list[str]:
    born, after = parent.hatched_on, young.hatched_on
    if born is None or after is None or born < after:
        return []
    return [
        f"{called(parent)} hatched on {day_in_words(born)} and can't be a parent of "
        f"{called(young)}, which hatched on {day_in_words(after)}: a parent is older than "
        "its chick."
    ]


def _young(bird: Bird, others: Mapping[int, Bird]) -> list[str]:
    faults = []
    for young in others.values():
        if bird.id not in (young.sire_id, young.dam_id):
            continue
        faults += _younger(bird, young)
        if bird.id == young.sire_id and bird.sex is Sex.HEN:
            faults.append(f"Sex: {called(bird)} is the sire of {called(young)}, so no hen.")
        if bird.id == young.dam_id and bird.sex is Sex.COCK:
            faults.append(f"Sex: {called(bird)} is the dam of {called(young)}, so no cock.")
    return faults


def pair_faults(bird: Bird, pairs: Iterable[Pair]) -> tuple[str, ...]:
    """Why the sex of a bird can't be what is told: it is, or was, the other one of a pair."""
    told = []
    for pair in pairs:
        if bird.id == pair.cock.id and bird.sex is Sex.HEN:
            told.append(f"Sex: {called(bird)} is the cock of a pair in {pair.cage}, so no hen.")
        if bird.id == pair.hen.id and bird.sex is Sex.COCK:
            told.append(f"Sex: {called(bird)} is the hen of a pair in {pair.cage}, so no cock.")
    return tuple(told)


def _loop(bird: Bird, others: Mapping[int, Bird]) -> list[str]:
    if bird.id in (bird.sire_id, bird.dam_id):
        return []  # said above
    whole = {**others, bird.id: bird}
    parents = parents_of(whole.values())
    try:
        depths(parents)
    except PedigreeLoopError as error:
        names = [called(whole[one]) for one in error.birds]
        links = ", ".join(f"{young} is out of {old}" for young, old in pairwise(names))
        return [f"{names[0]} would be its own forebear: {links}."]
    return []


def life_in_words(bird: Bird) -> str:
    """``alive``; ``sold on 3 May 2026``; ``dead, nobody noted since when``."""
    if bird.life is Life.ALIVE:
        return bird.life.value
    if bird.life_since is None:
        return f"{bird.life.value}, nobody noted since when"
    verb = "died" if bird.life is Life.DEAD else "sold"
    return f"{verb} on {day_in_words(bird.life_since)}"


def day_in_words(day: date) -> str:
    """``3 May 2026``."""
    return f"{day.day} {day:%B} {day.year}"
