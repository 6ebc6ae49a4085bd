"""What two birds are called to one another."""

import pytest

from service.nests.kinship import Kinship, Parents
from service.nests.relation import relation

Pedigree = dict[int, Parents]

# 10 and 11 are brother and sister; 20 and 21 first cousins by them; 30 and 31 second cousins.
FAMILY: Pedigree = {
    10: (1, 2),
    11: (1, 2),
    12: (1, 3),
    20: (10, 4),
    21: (5, 11),
    30: (20, 6),
    31: (7, 21),
    40: (30, 8),
}


@pytest.mark.parametrize(
    ("cock", "hen", "words"),
    [
        (10, 11, "full brother and sister"),
        (10, 12, "half brother and sister"),
        (1, 10, "father and daughter"),
        (10, 2, "mother and son"),
        (1, 20, "grandfather and granddaughter"),
        (20, 2, "grandmother and grandson"),
        (1, 30, "great-grandfather and great-granddaughter"),
        (40, 2, "great-great-grandmother and great-great-grandson"),
        (10, 21, "uncle and niece"),
        (21, 10, "aunt and nephew"),
        (12, 21, "half uncle and niece"),
        (10, 31, "great-uncle and great-niece"),
        (20, 21, "first cousins"),
        (30, 21, "first cousins, a generation apart"),
        (40, 21, "first cousins, 2 generations apart"),
        (30, 31, "second cousins"),
    ],
)
def test_the_nearest_kinship_names_the_two(cock: int, hen: int, words: str) -> None:
    found = relation(cock, hen, FAMILY, Kinship(FAMILY))
    assert found.words == words
    assert not found.further


def test_strangers_have_no_words_and_are_not_called_strangers() -> None:
    found = relation(3, 4, FAMILY, Kinship(FAMILY))
    assert (found.words, found.shared, found.coancestry) == (None, (), 0.0)


def test_two_brothers_with_two_sisters_make_double_cousins() -> None:
    double: Pedigree = {10: (1, 2), 11: (1, 2), 12: (3, 4), 13: (3, 4), 20: (10, 12), 21: (11, 13)}
    found = relation(20, 21, double, Kinship(double))
    assert found.words == "double first cousins"
    assert found.coancestry == 0.125
    assert found.shared == (1, 2, 3, 4)


def test_half_cousins_share_one_grandparent() -> None:
    half: Pedigree = {10: (1, 2), 11: (1, 3), 20: (10, 4), 21: (11, 5)}
    found = relation(20, 21, half, Kinship(half))
    assert (found.words, found.shared, found.coancestry) == ("half first cousins", (1,), 0.03125)


def test_kin_in_more_than_one_way_are_said_to_be_closer_than_the_name_tells() -> None:
    """Half brother and sister by one sire, whose dams are mother and daughter."""
    both: Pedigree = {3: (None, 2), 90: (1, 2), 91: (1, 3)}
    found = relation(90, 91, both, Kinship(both))
    assert found.words == "half brother and sister"
    assert found.further
    assert found.coancestry == 0.125 + 0.0625
