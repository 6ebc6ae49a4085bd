"""Pairs that can be, and pairs that can't."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from simulated_feeds.birds.aviary import Aviary
from simulated_feeds.birds.pair import PairUp, birds_for, pairs_for, refuse_impossible_pairs
from simulated_feeds.birds.parameters import BirdParameters
from simulated_feeds.impossible import ImpossibleParameterError
from tests.simulated_feeds.birds.invented_air import BOXES, ZONE
from tests.simulated_feeds.birds.lived_seasons import FIRST_DAY, PUT_UP

DAY = timedelta(days=1)


@pytest.fixture
def pair() -> PairUp:
    return pairs_for(BOXES[:1], PUT_UP, seed=1, ended_on=PUT_UP + 100 * DAY)[0]


def test_a_pair_that_ends_before_it_began_is_refused(pair: PairUp) -> None:
    with pytest.raises(ImpossibleParameterError, match="ended_on is 2026-01-01; allowed is 2026"):
        replace(pair, ended_on=date(2026, 1, 1))


def test_rounds_are_no_fewer_than_none(pair: PairUp) -> None:
    with pytest.raises(ImpossibleParameterError, match="rounds is -1"):
        replace(pair, rounds=-1)


def test_two_pairs_in_one_box_at_a_time_are_refused(pair: PairUp) -> None:
    others = birds_for(4, 2026)
    second = replace(pair, cock=others[2], hen=others[3], put_up_on=pair.put_up_on + 50 * DAY)
    with pytest.raises(ImpossibleParameterError, match="box-1 has no pair"):
        Aviary(BirdParameters(), (pair, second), seed=1, zone=ZONE)


def test_a_bird_in_two_cages_at_a_time_is_refused(pair: PairUp) -> None:
    second = replace(pair, box="box-2", cage="cage-2", put_up_on=pair.put_up_on + 50 * DAY)
    with pytest.raises(ImpossibleParameterError, match="bird 1 has no pair"):
        refuse_impossible_pairs((pair, second))


def test_a_pair_may_follow_on_the_day_on_which_another_ends(pair: PairUp) -> None:
    assert pair.ended_on is not None
    later = replace(pair, put_up_on=pair.ended_on, ended_on=None)
    refuse_impossible_pairs((later, pair))


def test_a_pair_of_another_age_is_refused(pair: PairUp) -> None:
    old = replace(pair, put_up_on=date(1971, 1, 1), ended_on=None)
    aviary = Aviary(BirdParameters(), (old,), seed=1, zone=ZONE)
    with pytest.raises(ImpossibleParameterError, match="put_up_on is 1971-01-01; allowed is 400"):
        aviary.plan(FIRST_DAY)


def test_birds_are_the_same_in_every_call_and_have_a_ring_each() -> None:
    assert birds_for(18, 2026) == birds_for(18, 2026)
    birds = birds_for(18, 2026)
    assert len({bird.ring for bird in birds}) == 18
    assert [bird.sex for bird in birds[:4]] == ["cock", "hen", "cock", "hen"]
