"""What a look may find today, and what it may not."""

from datetime import timedelta
from zoneinfo import ZoneInfo

from service.nests.due import DueKind
from service.nests.due_dates import due_dates
from service.nests.expected import Expected, Sight, expected, to_candle
from service.nests.nest import Candling, ChickFate, EggFate, Nest
from tests.service.nests.nests_in_days import SPECIES, chick, day, egg, look, nest

HATCHED = EggFate.HATCHED


def sights(of: Nest, now: float) -> list[tuple[Sight, int | None]]:
    return [(one.sight, one.egg_number) for one in expected(of, SPECIES, day(now))]


def test_pair_with_an_empty_box_may_lay_egg_1_any_day() -> None:
    (one,) = expected(nest(), SPECIES, day(3))
    assert (one.sight, one.egg_number, one.since) == (Sight.NEW_EGG, 1, None)


def test_box_without_a_pair_expects_nothing() -> None:
    assert expected(nest(pair=None), SPECIES, day(3)) == ()


def test_egg_of_this_morning_brings_no_other_today() -> None:
    laying = nest([egg(1, 5)], checks=[look(4, 0), look(5, 1)])
    # Laid between day 4 and 5, the next 1.5 to 2.5 days after: common practice, no source.
    assert (Sight.NEW_EGG, 2) not in sights(laying, 4.9)
    assert (Sight.NEW_EGG, 2) in sights(laying, 6)


def test_so_many_eggs_are_offered_as_one_hen_can_have_laid_since_the_last_look() -> None:
    laying = nest([egg(1, 5)], checks=[look(4, 0), look(5, 1)])
    offered = [number for sight, number in sights(laying, 9.1) if sight is Sight.NEW_EGG]
    assert offered == [2, 3, 4]
    looked_at = nest([egg(1, 5)], checks=[look(4, 0), look(5, 1), look(8.9, 1)])
    offered = [number for sight, number in sights(looked_at, 9.1) if sight is Sight.NEW_EGG]
    assert offered == [2]


def sat_on() -> Nest:
    return nest(
        [egg(1, 5), egg(2, 7), egg(3, 9)],
        checks=[look(9, 3), look(14, 3)],
        sitting_from=day(5),
    )


def test_hatch_is_expected_from_the_first_day_of_its_span_until_it_is_told() -> None:
    # 17 to 20 days after it was laid and sat on.
    assert sights(sat_on(), 20.9) == [(Sight.CANDLE, None)]
    assert (Sight.HATCHED, 1) in sights(sat_on(), 22)
    assert (Sight.HATCHED, 1) in sights(sat_on(), 40)


def test_expected_hatches_are_those_that_are_due() -> None:
    for now in (21.0, 24.0, 28.0, 33.0):
        due = [
            one.egg_number
            for one in due_dates(sat_on(), SPECIES, day(now))
            if one.kind is DueKind.HATCH and one.since <= day(now)
        ]
        assert [number for sight, number in sights(sat_on(), now) if sight is Sight.HATCHED] == due


def test_no_ring_is_expected_for_a_chick_that_is_still_an_egg() -> None:
    assert all(sight is not Sight.RING for sight, _ in sights(sat_on(), 33))


def rearing(**of_chick: object) -> Nest:
    return nest(
        [egg(1, 5, fate=HATCHED)], [chick(1, 23, **of_chick)], [look(23, 0, 1)], sitting_from=day(5)
    )


def test_ring_is_expected_at_its_age_and_no_more_once_it_is_on() -> None:
    assert (Sight.RING, 1) in sights(rearing(), 31)
    assert (Sight.RING, 1) not in sights(rearing(ring="HZ-1", ringed_at=day(30)), 31)


def test_chick_feeds_itself_only_once_it_is_out() -> None:
    assert (Sight.WEANED, 1) not in sights(rearing(ring="HZ-1"), 70)
    out = rearing(ring="HZ-1", fate=ChickFate.FLEDGED, fate_at=day(55))
    assert (Sight.WEANED, 1) in sights(out, 70)
    assert (Sight.OUT, 1) not in sights(out, 70)


def test_day_ends_at_midnight_of_the_shed() -> None:
    # The span begins on day 5.5 (midnight UTC): in Auckland, 13 hours ahead, that is the day
    # after the noon of day 4.
    laying = nest([egg(1, 5)], checks=[look(4, 0), look(5, 1)])
    begins = expected(laying, SPECIES, day(6))[0].since
    assert begins == day(5.5)
    just_before = day(5.5) - timedelta(minutes=1)
    assert _new_egg(expected(laying, SPECIES, just_before)) is False
    assert _new_egg(expected(laying, SPECIES, just_before, ZoneInfo("Pacific/Auckland"))) is True


def _new_egg(found: tuple[Expected, ...]) -> bool:
    return any(one.sight is Sight.NEW_EGG for one in found)


def test_only_eggs_that_no_light_went_through_are_to_be_candled() -> None:
    half = nest(
        [egg(1, 5, candling=Candling.FERTILE), egg(2, 7), egg(3, 9, fate=EggFate.BROKEN)],
        checks=[look(9, 3)],
        sitting_from=day(5),
    )
    assert [one.number for one in to_candle(half, day(12), SPECIES)] == [2]


def test_egg_that_the_light_left_open_may_be_looked_at_again_any_day() -> None:
    unsure = nest(
        [egg(1, 5, candling=Candling.UNSURE), egg(2, 7, candling=Candling.FERTILE)],
        checks=[look(9, 2), look(14, 2)],
        sitting_from=day(5),
    )
    (one,) = [one for one in expected(unsure, SPECIES, day(15)) if one.sight is Sight.CANDLE]
    assert (one.since, one.why) == (None, "egg 1 was unsure in the light")
    assert [one.number for one in to_candle(unsure, day(15), SPECIES)] == [1]
    assert all(sight is not Sight.CANDLE for sight, _ in sights(unsure, 23))


def test_egg_about_to_hatch_is_not_held_to_a_light() -> None:
    assert [one.number for one in to_candle(sat_on(), day(24), SPECIES)] == [3]
