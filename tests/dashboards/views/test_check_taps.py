"""A tap tells what the whole form would."""

import pytest

from dashboards.views.check_taps import with_taps
from service.errors import InputError


@pytest.mark.parametrize(
    ("tap", "field", "word"),
    [
        ("tap.hatched.egg.1", "egg.1.fate", "hatched"),
        ("tap.hatched.guest.17", "guest.17.fate", "hatched"),
        ("tap.out.chick.2", "chick.2.fate", "fledged"),
        ("tap.out.guest.17", "guest.17.gone", "fledged"),
        ("tap.weaned.chick.2", "chick.2.fate", "weaned"),
        ("tap.weaned.guest.17", "guest.17.gone", "weaned"),
    ],
)
def test_fate_is_told_by_one_tap(tap: str, field: str, word: str) -> None:
    assert with_taps({tap: "yes"})[field] == word


def test_tapped_eggs_are_counted() -> None:
    assert with_taps({"tap.egg.4": "yes", "tap.egg.5": "yes"})["new_eggs"] == "2"
    assert with_taps({"eggs": "3"})["new_eggs"] == ""


def test_ring_that_was_offered_goes_on_only_when_it_is_tapped() -> None:
    assert "chick.2.ring" not in with_taps({"ring.chick.2": "HZ-2"})
    tapped = with_taps({"ring.chick.2": " HZ-2 ", "tap.ring.chick.2": "yes"})
    assert tapped["chick.2.ring"] == "HZ-2"


def test_rest_is_fertile_but_for_what_is_told_of_singly() -> None:
    told = with_taps(
        {
            "tap.candle": "egg.1,egg.2,egg.3,guest.17",
            "egg.2.candled": "clear",
            "tap.hatched.egg.3": "yes",
        }
    )
    assert told["egg.1.candled"] == told["guest.17.candled"] == "fertile"
    assert told["egg.2.candled"] == "clear"
    assert "egg.3.candled" not in told


def test_two_stories_of_one_egg_are_refused_in_words() -> None:
    with pytest.raises(InputError, match="egg 1: both 'broken' and 'hatched' are told"):
        with_taps({"tap.hatched.egg.1": "yes", "egg.1.fate": "broken"})


def test_tap_that_nobody_offers_is_refused() -> None:
    with pytest.raises(InputError, match="nothing that can be tapped"):
        with_taps({"tap.eaten.egg.1": "yes"})
