"""How long soft food keeps. The table is common practice, no source."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.climate.food_clock import MS_IN_AN_HOUR, USUAL, Keeping, KeepsTo, Spent, spent

GAP = MS_IN_AN_HOUR


def steady(temperature_c: float, hours: int) -> list[tuple[int, float]]:
    return [(n * MS_IN_AN_HOUR // 2, temperature_c) for n in range(hours * 2)]


def of(told: list[tuple[int, float]], hours: float) -> Spent:
    return spent(told, USUAL, 0, round(hours * MS_IN_AN_HOUR), GAP)


@pytest.mark.parametrize(
    ("temperature_c", "keeps_h"), [(10, 12), (15, 12), (15.1, 9), (25, 4), (29, 2), (31, 1)]
)
def test_food_is_sour_when_its_time_is_up(temperature_c: float, keeps_h: int) -> None:
    found = of(steady(temperature_c, keeps_h), keeps_h)
    assert found.least == pytest.approx(1)
    assert found.most == pytest.approx(1)


def test_a_cool_morning_and_a_warm_noon_add_up() -> None:
    told = [*steady(14, 4), *((at + 4 * MS_IN_AN_HOUR, 28.0) for at, _ in steady(28, 1))]
    assert of(told, 5).least == pytest.approx(4 / 12 + 1 / 2)


def test_time_nobody_measured_counts_by_the_shortest_and_not_at_all() -> None:
    found = of(steady(20, 2), 4)
    # The last value, of half past one, holds for an hour; an hour and a half is unknown.
    assert found.least == pytest.approx(2.5 / 9)
    assert found.most == pytest.approx(2.5 / 9 + 1.5 / 1)


def test_a_value_from_just_before_tells_of_the_beginning() -> None:
    told = [(-MS_IN_AN_HOUR // 2, 20.0), (MS_IN_AN_HOUR // 2, 20.0)]
    found = of(told, 1)
    assert found.most == pytest.approx(1 / 9)


@pytest.mark.parametrize(
    ("steps", "hotter_h", "says"),
    [
        ((KeepsTo(up_to_c=15, hours=4), KeepsTo(up_to_c=20, hours=6)), 1, "where it is warmer"),
        ((KeepsTo(up_to_c=20, hours=6), KeepsTo(up_to_c=15, hours=4)), 1, "must rise"),
        ((KeepsTo(up_to_c=20, hours=6),), 0, "keeps 0.25 to 24"),
        ((KeepsTo(up_to_c=20, hours=float("nan")),), 1, "keeps 0.25 to 24"),
    ],
)
def test_a_table_that_makes_no_sense_is_refused(
    steps: tuple[KeepsTo, ...], hotter_h: float, says: str
) -> None:
    with pytest.raises(ValueError, match=says):
        Keeping(steps=steps, hotter_h=hotter_h)


@settings(max_examples=30)
@given(st.lists(st.floats(-5, 40), min_size=1, max_size=20), st.floats(0, 10))
def test_food_never_keeps_longer_where_it_is_warmer(hours: list[float], more: float) -> None:
    cool = [(n * MS_IN_AN_HOUR, one) for n, one in enumerate(hours)]
    warm = [(at, one + more) for at, one in cool]
    assert of(warm, len(hours)).least >= of(cool, len(hours)).least
