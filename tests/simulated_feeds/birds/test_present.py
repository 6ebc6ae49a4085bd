"""The five scripted nests: at any present what is promised lies in them, and then it goes on."""

from datetime import UTC, datetime, timedelta
from functools import cache
from itertools import pairwise

import pytest

from simulated_feeds.birds.aviary import Aviary
from simulated_feeds.birds.nominal_air import nominal_air
from simulated_feeds.birds.parameters import BirdParameters
from simulated_feeds.birds.present import present_birds, present_pairs
from simulated_feeds.birds.truth import ClutchTruth
from simulated_feeds.day import DAY
from simulated_feeds.keeper.book import book_of
from simulated_feeds.keeper.rows import Book
from simulated_feeds.keeper.story import Story, places_of, story_of
from simulated_feeds.keeper.values import NestCheck
from tests.simulated_feeds.birds.invented_air import BOXES, ZONE

PRESENTS = [
    datetime(2026, 1, 15, 6, 40, tzinfo=UTC),
    datetime(2026, 4, 2, 23, 10, tzinfo=UTC),
    datetime(2026, 7, 21, 13, 5, tzinfo=UTC),
    datetime(2026, 11, 25, 18, 0, tzinfo=UTC),
]
PAST = timedelta(days=21)


@pytest.fixture(params=PRESENTS, ids=lambda at: f"{at:%B}")
def present(request: pytest.FixtureRequest) -> datetime:
    at: datetime = request.param
    return at


@cache
def lived_around(present: datetime, days_after: int = 4) -> tuple[Aviary, Book]:
    """Three weeks before the present to some days after it, and the book of the present."""
    pairs = present_pairs(present, ZONE, seed=1)
    aviary = Aviary(BirdParameters(), pairs, seed=1, zone=ZONE, boxes=BOXES)
    at = present - PAST
    while at < present + timedelta(days=days_after):
        aviary.plan(at)
        aviary.live(nominal_air(at, ZONE))
        at += DAY
    others = present_birds(present, ZONE)
    book = book_of(aviary.looks(), pairs, aviary.truths(), seed=1, birds=others, until=present)
    return aviary, book


@pytest.fixture
def told(present: datetime) -> Story:
    return story_of(lived_around(present)[1], places_of(9))


@pytest.fixture
def by_box(told: Story) -> dict[str, list[NestCheck]]:
    found: dict[str, list[NestCheck]] = {}
    for check in told.checks:
        found.setdefault(check.box, []).append(check)
    return found


@pytest.fixture
def clutches(present: datetime) -> dict[str, ClutchTruth]:
    return {clutch.box: clutch for clutch in lived_around(present)[0].truths()}


def test_present_is_as_promised(by_box: dict[str, list[NestCheck]]) -> None:
    now = {box: (checks[-1].eggs, checks[-1].chicks) for box, checks in by_box.items()}
    assert now == {
        "box-1": (0, 4),
        "box-2": (4, 0),
        "box-3": (2, 0),
        "box-4": (2, 2),
        "box-5": (0, 0),
    }


def test_truth_at_the_present_is_as_promised(
    present: datetime, clutches: dict[str, ClutchTruth]
) -> None:
    found = {}
    for box, clutch in clutches.items():
        laid = [egg for egg in clutch.eggs if egg.laid_at <= present]
        lying = [egg for egg in laid if egg.ended_at is None or egg.ended_at > present]
        chicks = [egg for egg in laid if egg.chick and egg.chick.hatched_at <= present]
        found[box] = (len(lying), len(chicks))
    assert found == {"box-1": (0, 4), "box-2": (4, 0), "box-3": (2, 0), "box-4": (2, 2)}


def test_all_four_chicks_of_box_1_are_ringed(by_box: dict[str, list[NestCheck]]) -> None:
    ringed = [one.egg_number for check in by_box["box-1"] for one in check.ringed]
    assert sorted(ringed) == [1, 2, 3, 5]


def test_counts_change_only_by_what_the_check_tells(by_box: dict[str, list[NestCheck]]) -> None:
    for checks in by_box.values():
        eggs = chicks = 0
        for check in checks:
            laid = check.eggs + len(check.lost) + len(check.hatched) - eggs
            assert laid in (0, 1)
            assert check.chicks == chicks + len(check.hatched)
            eggs, chicks = check.eggs, check.chicks


def test_checks_are_in_time_order_and_none_is_to_come(told: Story, present: datetime) -> None:
    assert all(earlier.at < later.at for earlier, later in pairwise(told.checks))
    assert told.checks[-1].at <= present
    assert len({check.form_id for check in told.checks}) == len(told.checks)


def test_first_egg_comes_8_to_22_days_after_the_pair_was_put_up(
    present: datetime, clutches: dict[str, ClutchTruth]
) -> None:
    # Behaviour (1977), doi 10.1163/156853977x00243: median 9 d, range 8 to 22 d from nest-box
    # entry to the first egg.
    put_up = {pair.box: pair.put_up_on for pair in present_pairs(present, ZONE, seed=1)}
    for box in ("box-1", "box-2", "box-3", "box-4"):
        days = (clutches[box].eggs[0].laid_at.astimezone(ZONE).date() - put_up[box]).days
        assert 8 <= days <= 22


def test_what_hatched_did_so_17_to_20_days_after_it_was_sat_on(
    clutches: dict[str, ClutchTruth],
) -> None:
    # 18 days with a spread of 17 to 20: common practice, no source.
    for clutch in clutches.values():
        for egg in clutch.eggs:
            if egg.chick is not None and egg.grew_from is not None:
                days = (egg.chick.hatched_at - egg.grew_from) / DAY
                assert 16.8 <= days <= 20


def test_eggs_hatch_in_box_2_within_the_days_after_the_present(
    present: datetime, clutches: dict[str, ClutchTruth]
) -> None:
    hatched = [egg.chick.hatched_at for egg in clutches["box-2"].eggs if egg.chick is not None]
    assert hatched
    assert all(present < at < present + 4 * DAY for at in hatched)


def test_third_egg_of_box_3_is_laid_after_the_present(
    present: datetime, clutches: dict[str, ClutchTruth]
) -> None:
    third = clutches["box-3"].eggs[2].laid_at
    assert present < third < present + timedelta(days=1.5)


def test_hen_sits_from_the_second_egg_on(clutches: dict[str, ClutchTruth]) -> None:
    for box in ("box-1", "box-2", "box-3", "box-4"):
        assert clutches[box].sitting_from == clutches[box].eggs[1].laid_at


def test_pairs_are_a_cock_and_a_hen_older_than_ten_months(told: Story) -> None:
    # ten months: common practice, no source
    birds = {bird.id: bird for bird in told.birds}
    for pair in told.pairs:
        cock, hen = birds[pair.cock_id], birds[pair.hen_id]
        assert (cock.sex, hen.sex) == ("cock", "hen")
        for bird in (cock, hen):
            assert bird.hatched_on is not None
            assert pair.put_up_on - bird.hatched_on > timedelta(days=300)
    assert len(told.birds) == 18
    assert len({bird.ring for bird in told.birds}) == 18


def test_nine_boxes_stand_in_nine_cages(told: Story) -> None:
    places = {place.id: place for place in told.places}
    boxes = [place for place in told.places if place.kind == "box"]
    assert len(boxes) == 9
    for box in boxes:
        cage = places[box.within or ""]
        assert (cage.kind, cage.within) == ("cage", "shed")
    assert len({place.order for place in told.places}) == len(told.places)


def test_story_is_the_same_each_time(present: datetime) -> None:
    before = lived_around(present)[1]
    lived_around.cache_clear()
    assert lived_around(present)[1] == before
