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
    standing: Sequence[Pair],
    names: Mapping[str, str] | None = None,
) -> tuple[str, ...]:
    """Every reason against it in words, none where they can be put up.

    ``standing`` are the pairs that have not ended; ``names`` those of the cages by id.
    """
    named = names or {}
    if cock.id == hen.id or cock.sex is Sex.HEN or hen.sex is Sex.COCK:
        return (_no_pair(cock, hen),)
    faults = [*_bird(cock, on), *_bird(hen, on)]
    for pair in standing:
        where = named.get(pair.cage, pair.cage)
        if pair.cage == cage:
            if on < pair.put_up_on:
                faults.append(
                    f"The pair in {where} was put up on {day_in_words(pair.put_up_on)}, after "
                    f"{day_in_words(on)}: choose that day or a later one."
                )
            continue
        faults += [
            f"{called(bird)} is paired in {where} since {day_in_words(pair.put_up_on)}: a "
            f"{'cock' if bird.id == cock.id else 'hen'} can't be in two cages. End that pair first."
            for bird in (cock, hen)
            if bird.id in (pair.cock.id, pair.hen.id)
        ]
    return tuple(faults)


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
