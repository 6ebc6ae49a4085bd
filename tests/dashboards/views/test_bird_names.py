"""Which bird somebody means who types, and where it is."""

from datetime import date

import pytest

from dashboards.views.bird_names import (
    bird_label,
    bird_meant,
    is_found,
    standing_pairs,
    whereabouts,
)
from service.nests.nest import Bird, Pair, Sex
from service.nests.place import Place, PlaceKind

MOSS = Bird(id=1, sex=Sex.COCK, ring="HZ 25 001", name="Moss", variety="grey", place="cage-1")
OTHER_MOSS = Bird(id=2, sex=Sex.HEN, name="Moss")
NAMELESS = Bird(id=3, sex=Sex.HEN, ring="HZ 25 002")
BARE = Bird(id=4, sex=Sex.UNKNOWN)
BIRDS = [MOSS, OTHER_MOSS, NAMELESS, BARE]
PLACES = [
    Place(id="cage-1", kind=PlaceKind.CAGE, name="By the door"),
    Place(id="cage-2", kind=PlaceKind.CAGE, name="Cage 2"),
]


def test_every_bird_has_a_label_of_its_own() -> None:
    assert [bird_label(bird) for bird in BIRDS] == [
        "HZ 25 001 Moss",
        "Moss (bird 2)",
        "HZ 25 002",
        "bird 4",
    ]


@pytest.mark.parametrize("bird", BIRDS)
def test_a_label_means_its_own_bird(bird: Bird) -> None:
    assert bird_meant(bird_label(bird), BIRDS, "Sire") is bird


@pytest.mark.parametrize(
    ("text", "meant"), [("hz  25 001", MOSS), (" HZ 25 002 ", NAMELESS), ("BIRD 4", BARE)]
)
def test_case_and_spaces_do_not_matter(text: str, meant: Bird) -> None:
    assert bird_meant(text, BIRDS, "Sire") is meant


def test_a_name_that_two_have_is_asked_for_the_ring() -> None:
    told = bird_meant("moss", BIRDS, "Sire")
    assert told == "Sire: moss may be HZ 25 001 Moss, Moss (bird 2); type the ring."


def test_a_part_is_not_taken_for_the_whole_and_what_is_near_is_named() -> None:
    told = bird_meant("25 00", BIRDS, "Dam")
    assert isinstance(told, str)
    assert told.endswith("such as HZ 25 001 Moss, HZ 25 002.")


def test_a_bird_is_found_by_words_in_any_order() -> None:
    assert is_found(MOSS, "grey 001", "By the door")
    assert is_found(MOSS, "door cock", "By the door")
    assert is_found(MOSS, "", "")
    assert not is_found(MOSS, "grey hen", "By the door")


def test_a_bird_is_in_its_pair_s_cage_else_where_it_was_said_to_live() -> None:
    pair = Pair(id=1, cage="cage-2", cock=MOSS, hen=NAMELESS, put_up_on=date(2026, 3, 1))
    paired = standing_pairs([pair])
    assert whereabouts(MOSS, paired, PLACES) == "Cage 2"
    assert whereabouts(MOSS, {}, PLACES) == "By the door"
    assert whereabouts(BARE, paired, PLACES) == ""


def test_a_pair_that_has_ended_holds_nobody() -> None:
    ended = Pair(
        id=1,
        cage="cage-2",
        cock=MOSS,
        hen=NAMELESS,
        put_up_on=date(2026, 3, 1),
        ended_on=date(2026, 4, 1),
    )
    assert standing_pairs([ended]) == {}
