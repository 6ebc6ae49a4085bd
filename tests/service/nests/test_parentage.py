"""What is said of a bird and can't be: refused with the reason, all reasons at once."""

from dataclasses import replace
from datetime import date

import pytest

from service.nests.nest import Bird, Life, Sex
from service.nests.parentage import bird_faults, life_in_words

TODAY = date(2026, 4, 21)
MOSS = Bird(id=1, sex=Sex.COCK, ring="HZ-1", name="Moss", hatched_on=date(2024, 5, 1))
FERN = Bird(id=2, sex=Sex.HEN, ring="HZ-2", hatched_on=date(2024, 6, 1))
CHICK = Bird(id=3, sex=Sex.UNKNOWN, ring="HZ-3", hatched_on=date(2025, 5, 1), sire_id=1, dam_id=2)
BOOK = {bird.id: bird for bird in (MOSS, FERN, CHICK)}


def faults(bird: Bird) -> tuple[str, ...]:
    return bird_faults(bird, BOOK, TODAY)


@pytest.mark.parametrize("bird", [MOSS, FERN, CHICK])
def test_what_agrees_has_no_fault(bird: Bird) -> None:
    assert faults(bird) == ()


@pytest.mark.parametrize(
    ("bird", "words"),
    [
        (replace(CHICK, id=0, ring="hz-1"), "Ring hz-1: another bird has it (Moss, alive, bird 1)"),
        (replace(CHICK, hatched_on=date(2026, 4, 22)), "22 April 2026 is yet to come"),
        (replace(CHICK, life=Life.SOLD, life_since=date(2026, 5, 1)), "1 May 2026 is yet to come"),
        (replace(CHICK, life=Life.DEAD, life_since=date(2025, 4, 1)), "is before HZ-3 hatched"),
        (replace(CHICK, sire_id=2, dam_id=None), "Sire: HZ-2 is a hen; a sire is a cock."),
        (replace(CHICK, sire_id=None, dam_id=1), "Dam: HZ-1 is a cock; a dam is a hen."),
        (replace(CHICK, sire_id=77), "Sire: there is no bird 77 in the book."),
        (replace(CHICK, sire_id=3), "Sire: HZ-3 can't be its own parent."),
        (replace(CHICK, hatched_on=date(2024, 5, 1)), "HZ-1 hatched on 1 May 2024 and can't be a"),
        (replace(MOSS, hatched_on=date(2025, 6, 1)), "HZ-1 hatched on 1 June 2025 and can't be a"),
        (replace(MOSS, sex=Sex.HEN), "Sex: HZ-1 is the sire of HZ-3, so no hen."),
        (replace(FERN, sex=Sex.COCK), "Sex: HZ-2 is the dam of HZ-3, so no cock."),
        (
            replace(MOSS, hatched_on=None, sire_id=3),
            "would be its own forebear: HZ-3 is out of HZ-1, HZ-1 is out of HZ-3.",
        ),
    ],
)
def test_a_contradiction_is_told_in_words(bird: Bird, words: str) -> None:
    assert any(words in fault for fault in faults(bird)), faults(bird)


def test_all_that_is_wrong_is_told_at_once() -> None:
    told = faults(replace(CHICK, ring="HZ-1", sire_id=2, hatched_on=date(2027, 1, 1)))
    assert len(told) == 3


def test_days_that_nobody_knows_contradict_nothing() -> None:
    unknown = {1: replace(MOSS, hatched_on=None), 2: FERN}
    assert (
        bird_faults(replace(CHICK, hatched_on=date(1990, 1, 1), dam_id=None), unknown, TODAY) == ()
    )


def test_a_parent_whose_sex_nobody_knows_is_taken() -> None:
    unsexed = {**BOOK, 1: replace(MOSS, sex=Sex.UNKNOWN)}
    assert bird_faults(CHICK, unsexed, TODAY) == ()


def test_what_became_of_a_bird_is_told_with_its_day_or_without() -> None:
    assert life_in_words(MOSS) == "alive"
    sold = replace(MOSS, life=Life.SOLD, life_since=date(2026, 5, 3))
    assert life_in_words(sold) == "sold on 3 May 2026"
    assert life_in_words(replace(MOSS, life=Life.DEAD)) == "dead, nobody noted since when"
