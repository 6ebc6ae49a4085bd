"""Whether two birds can be put up as a pair in a cage, on a day. Pure."""

from collections.abc import Mapping, Sequence
from datetime import date

from service.nests.nest import Bird, Life, Pair, Sex
from service.nests.parentage import called, day_in_words, life_in_words


def pairing_faults(
    cock: Bird,
    hen: Bird,
    *,
    cage: str,
    on: date,
    pairs: Sequence[Pair],
    names: Mapping[str, str] | None = None,
) -> tuple[str, ...]:
    """Every reason against it in words, none where they can be put up.

    ``pairs`` are all of the book, those that have ended too: nobody was in two cages on one
    day, and no cage had two pairs. A pair that stands in this cage ends by the new one, and is
    no reason against it. ``names`` are those of the cages by id.
    """
    if cock.id == hen.id or cock.sex is Sex.HEN or hen.sex is Sex.COCK:
        return (_no_pair(cock, hen),)
    faults = [*_bird(cock, on), *_bird(hen, on)]
    for pair in pairs:
        if pair.ended_on is not None and pair.ended_on <= on:
            continue
        where = (names or {}).get(pair.cage, pair.cage)
        if pair.cage == cage:
            faults += _cage_taken(pair, where, on)
        else:
            faults += _bird_taken(pair, where, cock, hen)
    return tuple(faults)


def _cage_taken(pair: Pair, where: str, on: date) -> list[str]:
    if pair.ended_on is not None:
        return [
            f"{called(pair.cock)} and {called(pair.hen)} were put up in {where} until "
            f"{day_in_words(pair.ended_on)}: choose that day or a later one."
        ]
    if on < pair.put_up_on:
        return [
            f"The pair in {where} was put up on {day_in_words(pair.put_up_on)}, after "
            f"{day_in_words(on)}: choose that day or a later one."
        ]
    return []


def _bird_taken(pair: Pair, where: str, cock: Bird, hen: Bird) -> list[str]:
    return [
        f"{called(bird)} {_was_paired(pair, where)}: a {'cock' if bird is cock else 'hen'} "
        f"can't be in two cages. {_way_out(pair)}"
        for bird in (cock, hen)
        if bird.id in (pair.cock.id, pair.hen.id)
    ]


def _was_paired(pair: Pair, where: str) -> str:
    if pair.ended_on is None:
        return f"is paired in {where} since {day_in_words(pair.put_up_on)}"
    return f"was paired in {where} until {day_in_words(pair.ended_on)}"


def _way_out(pair: Pair) -> str:
    return "End that pair first." if pair.ended_on is None else "Choose that day or a later one."


def _no_pair(cock: Bird, hen: Bird) -> str:
    if cock.id == hen.id:
        return f"A pair is a cock and a hen; {called(cock)} was chosen for both."
    wrong, is_a = (cock, "hen") if cock.sex is Sex.HEN else (hen, "cock")
    return f"A pair is a cock and a hen; {called(wrong)} is a {is_a}."


def _bird(bird: Bird, on: date) -> list[str]:
    faults = []
    if bird.life is not Life.ALIVE:
        faults.append(f"{called(bird)} can't be put up: {life_in_words(bird)}.")
    if bird.hatched_on is not None and bird.hatched_on >= on:
        faults.append(
            f"{called(bird)} hatched on {day_in_words(bird.hatched_on)} and can't be put up on "
            f"{day_in_words(on)}."
        )
    return faults
