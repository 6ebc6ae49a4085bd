"""Two birds that can't be put up together are refused with the reason."""

from dataclasses import replace
from datetime import date

import pytest

from service.nests.nest import Bird, Life, Pair, Sex
from service.nests.putting_up import pairing_faults

MARCH_1 = date(2026, 3, 1)
COCK = Bird(id=1, sex=Sex.COCK, ring="HZ-1", hatched_on=date(2024, 5, 1))
HEN = Bird(id=2, sex=Sex.HEN, ring="HZ-2")
OTHER = Bird(id=3, sex=Sex.HEN, ring="HZ-3")
STANDING = Pair(id=1, cage="cage-2", cock=COCK, hen=OTHER, put_up_on=MARCH_1)
NAMES = {"cage-1": "By the door", "cage-2": "Cage 2"}


def faults(
    cock: Bird = COCK,
    hen: Bird = HEN,
    pairs: tuple[Pair, ...] = (),
    cage: str = "cage-1",
    on: date = MARCH_1,
) -> tuple[str, ...]:
    return pairing_faults(cock, hen, cage=cage, on=on, pairs=pairs, names=NAMES)


def test_a_cock_and_a_hen_that_are_free_can_be_put_up() -> None:
    assert faults() == ()
    assert faults(replace(COCK, sex=Sex.UNKNOWN), replace(HEN, sex=Sex.UNKNOWN)) == ()


@pytest.mark.parametrize(
    ("told", "words"),
    [
        (faults(HEN, OTHER), "HZ-2 is a hen"),
        (faults(COCK, replace(COCK, id=9)), "HZ-1 is a cock"),
        (faults(COCK, replace(HEN, id=1)), "HZ-1 was chosen for both"),
        (
            faults(hen=replace(HEN, life=Life.DEAD, life_since=date(2026, 2, 1))),
            "HZ-2 can't be put up: died on 1 February 2026.",
        ),
        (faults(replace(COCK, life=Life.SOLD)), "HZ-1 can't be put up: sold, nobody noted"),
        (faults(on=date(2024, 5, 1)), "HZ-1 hatched on 1 May 2024"),
        (faults(pairs=(STANDING,)), "HZ-1 is paired in Cage 2 since 1 March 2026: a cock can't"),
        (faults(hen=OTHER, pairs=(STANDING,)), "a hen can't be in two cages"),
        (
            faults(pairs=(STANDING,), cage="cage-2", on=date(2026, 2, 1)),
            "The pair in Cage 2 was put up on 1 March 2026, after 1 February 2026",
        ),
    ],
)
def test_what_stands_against_a_pair_is_told(told: tuple[str, ...], words: str) -> None:
    assert any(words in fault for fault in told), told


ENDED = replace(STANDING, ended_on=date(2026, 4, 1))


@pytest.mark.parametrize(
    ("told", "words"),
    [
        (faults(pairs=(ENDED,)), "HZ-1 was paired in Cage 2 until 1 April 2026: a cock can't be"),
        (
            faults(pairs=(ENDED,), cage="cage-2"),
            "HZ-1 and HZ-3 were put up in Cage 2 until 1 April",
        ),
    ],
)
def test_nobody_is_in_two_cages_on_days_that_are_past(told: tuple[str, ...], words: str) -> None:
    assert any(words in fault for fault in told), told
    assert any("hoose that day or a later one" in fault for fault in told)


def test_on_the_day_a_pair_ended_its_birds_and_its_cage_are_free() -> None:
    day = date(2026, 4, 1)
    assert faults(pairs=(ENDED,), on=day) == ()
    assert faults(pairs=(ENDED,), cage="cage-2", on=day) == ()


def test_another_partner_in_the_same_cage_is_taken() -> None:
    assert faults(pairs=(STANDING,), cage="cage-2") == ()
