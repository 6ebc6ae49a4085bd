"""What the keeper's scale says goes before what is reckoned."""

from dataclasses import replace

import pytest

from service.climate.egg_weighed import EggWeighed, egg_loss
from tests.service.climate.test_egg_water import DAY, LAID, stay


def weighed(day: float, mass_g: float) -> EggWeighed:
    return EggWeighed(at=LAID + day * DAY, mass_g=mass_g)


def test_without_weighings_it_is_reckoned_from_the_air() -> None:
    found = egg_loss(stay(18), [])
    assert found.loss is not None
    assert found.loss.middle == pytest.approx(0.179, abs=0.003)
    assert found.weighed is None


def test_between_two_weighings_the_scale_is_the_truth() -> None:
    found = egg_loss(stay(18), [weighed(0, 2.10), weighed(18, 1.89)])
    assert found.loss is not None
    assert found.loss.middle == pytest.approx(0.10)
    # Both readings were rounded to 0.01 g: the uniform error's deviation, twice.
    assert found.loss.spread == pytest.approx(0.01 / 12**0.5 * 2**0.5 / 2.10)


def test_a_coarse_scale_tells_a_wider_range() -> None:
    fine = egg_loss(stay(18), [weighed(0, 2.11), weighed(18, 1.9)])
    coarse = egg_loss(stay(18), [weighed(0, 2.1), weighed(18, 1.9)])
    assert fine.loss is not None
    assert coarse.loss is not None
    assert coarse.loss.spread > 5 * fine.loss.spread


def test_after_the_last_weighing_it_goes_on_by_this_eggs_own_shell() -> None:
    by_air = egg_loss(stay(18), []).loss
    assert by_air is not None
    half_as_leaky = weighed(9, round(2.1 * (1 - by_air.middle / 4), 3))
    found = egg_loss(stay(18), [weighed(0, 2.1), half_as_leaky])
    assert found.loss is not None
    assert found.loss.middle == pytest.approx(by_air.middle / 2, rel=0.02)


def test_the_scale_tells_of_days_that_no_sensor_did() -> None:
    nothing = replace(stay(10), hours=())
    assert egg_loss(nothing, []).loss is None
    found = egg_loss(nothing, [weighed(0, 2.10), weighed(10, 1.95)])
    assert found.loss is not None
    assert found.coverage == 1.0


def test_what_neither_scale_nor_sensor_told_is_not_counted_as_no_loss() -> None:
    nothing = replace(stay(10), hours=())
    found = egg_loss(nothing, [weighed(0, 2.10), weighed(5, 2.02)])
    assert found.loss is None
    assert found.weighed is not None
    assert found.coverage == 0.5


@pytest.mark.parametrize(
    ("later_g", "says"), [(2.3, "gains nothing"), (1.5, "cracked shell")], ids=["more", "less"]
)
def test_weighings_that_no_egg_can_have_are_told_and_not_used(later_g: float, says: str) -> None:
    found = egg_loss(stay(18), [weighed(0, 2.1), weighed(3, later_g)])
    assert says in found.doubt
    assert found.loss == egg_loss(stay(18), []).loss


def test_a_few_days_on_a_coarse_scale_say_little_of_the_rest() -> None:
    # Within 3 days a whole egg may show 2.1 g twice on a scale of tenths.
    same = egg_loss(stay(18), [weighed(0, 2.1), weighed(3, 2.1)])
    by_air = egg_loss(stay(18), []).loss
    assert same.loss is not None
    assert by_air is not None
    assert same.loss.low == 0.0
    assert same.loss.high > by_air.middle / 2
