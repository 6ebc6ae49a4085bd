"""The book of the demonstration: sound in itself, and at the promised present on any day."""

from collections import defaultdict
from datetime import UTC, datetime, timedelta
from itertools import pairwise, takewhile

import pytest

from service.nests.nest import BeddingLevel, Candling, ChickFate, EggFate, HenSeen, Sex
from service.nests.place import PlaceKind
from simulated_feeds.days import Shed
from simulated_feeds.house import places
from simulated_feeds.keeper.story import Story, story_of
from simulated_feeds.keeper.values import NestCheck
from simulated_feeds.present import scenario_at
from simulated_feeds.scenario_files.scenario import Scenario

PRESENTS = [
    datetime(2026, 1, 15, 6, 40, tzinfo=UTC),
    datetime(2026, 4, 2, 23, 10, tzinfo=UTC),
    datetime(2026, 7, 21, 13, 5, tzinfo=UTC),
    datetime(2026, 11, 25, 18, 0, tzinfo=UTC),
]
DAY = timedelta(days=1)


def written(scenario: Scenario) -> Story:
    shed = Shed(scenario)
    for _ in takewhile(lambda day: day.air.at < scenario.origin - DAY, shed.days()):
        pass
    return story_of(shed.book(), places())


@pytest.fixture(scope="module", params=PRESENTS, ids=lambda at: f"{at:%B}")
def season(request: pytest.FixtureRequest) -> Scenario:
    return scenario_at("season", request.param)


@pytest.fixture(scope="module")
def told(season: Scenario) -> Story:
    return written(season)


@pytest.fixture
def by_box(told: Story) -> dict[str, list[NestCheck]]:
    boxes = defaultdict(list)
    for check in told.checks:
        boxes[check.box].append(check)
    return boxes


def test_story_is_the_same_each_time(season: Scenario) -> None:
    assert written(season) == written(season)


def test_checks_are_in_time_order_and_none_is_to_come(told: Story, season: Scenario) -> None:
    assert all(earlier.at < later.at for earlier, later in pairwise(told.checks))
    assert told.checks[-1].at <= season.origin


def test_form_ids_differ(told: Story) -> None:
    assert len({check.form_id for check in told.checks}) == len(told.checks)


def test_nine_boxes_stand_in_nine_cages(told: Story) -> None:
    by_id = {place.id: place for place in told.places}
    boxes = [place for place in told.places if place.kind == "box"]
    assert len(boxes) == 9
    for box in boxes:
        cage = by_id[box.within or ""]
        assert (cage.kind, cage.within) == ("cage", "shed")
    assert len({place.order for place in told.places}) == len(told.places)


def test_words_are_those_of_the_nest_book(told: Story) -> None:
    for place in told.places:
        PlaceKind(place.kind)
    for bird in told.birds:
        Sex(bird.sex)
    for check in told.checks:
        HenSeen(check.hen)
        for lost in check.lost:
            EggFate(lost.fate)
        for candled in check.candled:
            Candling(candled.result)
        for gone in check.gone:
            ChickFate(gone.fate)
        if check.bedding is not None:
            BeddingLevel(check.bedding)


def test_rings_are_given_once(told: Story) -> None:
    rings = [bird.ring for bird in told.birds]
    rings += [ringed.ring for check in told.checks for ringed in check.ringed]
    assert len(set(rings)) == len(rings)


def test_pairs_are_a_cock_and_a_hen_that_are_paired_once(told: Story) -> None:
    sexes = {bird.id: bird.sex for bird in told.birds}
    assert all((sexes[p.cock_id], sexes[p.hen_id]) == ("cock", "hen") for p in told.pairs)
    paired = [bird for pair in told.pairs for bird in (pair.cock_id, pair.hen_id)]
    assert len(set(paired)) == len(paired)


def test_paired_birds_are_older_than_ten_months(told: Story) -> None:
    # common practice, no source
    hatched = {bird.id: bird.hatched_on for bird in told.birds}
    for pair in told.pairs:
        for bird in (pair.hen_id, pair.cock_id):
            day = hatched[bird]
            assert day is not None
            assert pair.put_up_on - day > timedelta(days=300)


def test_counts_change_only_by_what_the_check_tells(by_box: dict[str, list[NestCheck]]) -> None:
    for checks in by_box.values():
        eggs = chicks = 0
        for check in checks:
            laid = check.eggs + len(check.lost) + len(check.hatched) - eggs
            assert laid in (0, 1)
            assert check.chicks == chicks + len(check.hatched)
            eggs, chicks = check.eggs, check.chicks


def test_events_name_eggs_that_were_laid_and_are_still_there(
    by_box: dict[str, list[NestCheck]],
) -> None:
    for checks in by_box.values():
        laid, gone, hatched = 0, set[int](), set[int]()
        for check in checks:
            left = [egg.number for egg in check.lost] + list(check.hatched)
            laid = check.eggs + len(gone) + len(left)
            lying = set(range(1, laid + 1)) - gone
            assert set(left) <= lying
            assert {egg.number for egg in check.candled} <= lying
            gone |= set(left)
            hatched |= set(check.hatched)
            assert {chick.egg_number for chick in check.ringed} <= hatched


def test_chicks_are_ringed_at_7_to_10_days(by_box: dict[str, list[NestCheck]]) -> None:
    # 9 to 10 d in an extension course, 7 to 10 d common practice.
    hatched_at: dict[int, datetime] = {}
    ages = []
    for check in by_box["box-1"]:
        hatched_at |= dict.fromkeys(check.hatched, check.at)
        ages += [check.at - hatched_at[chick.egg_number] for chick in check.ringed]
    assert len(ages) == 4
    assert all(7 * DAY <= age <= 10 * DAY for age in ages)


def test_present_is_as_promised(by_box: dict[str, list[NestCheck]]) -> None:
    now = {box: (checks[-1].eggs, checks[-1].chicks) for box, checks in by_box.items()}
    assert now == {
        "box-1": (0, 4),
        "box-2": (4, 0),
        "box-3": (2, 0),
        "box-4": (2, 2),
        "box-5": (0, 0),
    }


def test_box_2_may_hatch_from_tomorrow(
    season: Scenario, by_box: dict[str, list[NestCheck]]
) -> None:
    second = next(at for at, check in enumerate(by_box["box-2"]) if check.eggs == 2)
    last_look_without = by_box["box-2"][second - 1].at
    # 17 days after sitting at the earliest: common practice, no source.
    earliest = (last_look_without + 17 * DAY).astimezone(season.zone).date()
    assert earliest - season.origin.astimezone(season.zone).date() == DAY


def test_hen_is_seen_sitting_from_the_second_egg_on(by_box: dict[str, list[NestCheck]]) -> None:
    sitting = [check for check in by_box["box-2"] if check.hen == HenSeen.SITTING]
    assert min(check.eggs for check in sitting) >= 2
    assert not [check for check in by_box["box-5"] if check.hen == HenSeen.SITTING]


def test_rings_and_hen_fit_chicks_of_three_weeks(by_box: dict[str, list[NestCheck]]) -> None:
    # From ten days on the hen leaves them alone most of the time: common practice, no source.
    assert {check.hen for check in by_box["box-1"][-5:]} <= {
        "in the box",
        "off the nest",
        "not seen",
    }
