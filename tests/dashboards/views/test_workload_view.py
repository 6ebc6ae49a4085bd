"""Minutes in words."""

from datetime import date

import pytest

from dashboards.views.workload_view import day_line, minutes_word
from service.nests.workload.day_minutes import Minutes
from service.nests.workload.forecast import DayAhead

DAY = date(2026, 3, 2)


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0, "nothing"),
        (0.2, "under 1 min"),
        (1, "1 min"),
        (34.4, "34 min"),
        (59.6, "1 h"),
        (102, "1 h 42 min"),
        (120, "2 h"),
    ],
)
def test_minutes_are_whole_and_some_are_never_nothing(minutes: float, words: str) -> None:
    assert minutes_word(minutes) == words


def ahead(low: float, mean: float, high: float, **more: object) -> DayAhead:
    parts = (("seed", mean),)
    return DayAhead(
        day=DAY,
        minutes=Minutes(low=low, mean=mean, high=high),
        parts=parts,
        **more,  # type: ignore[arg-type]
    )


def test_day_of_which_all_is_known_has_no_span() -> None:
    assert day_line(ahead(12, 12, 12), DAY).span == ""


@pytest.mark.parametrize(
    ("low", "high", "span"),
    [(8, 21, "8 to 21 min"), (0, 20, "0 to 20 min"), (50, 80, "50 min to 1 h 20 min")],
)
def test_span_is_told_from_the_fewest_to_the_most(low: float, high: float, span: str) -> None:
    assert day_line(ahead(low, (low + high) / 2, high), DAY).span == span


def test_many_small_parts_are_told_as_the_rest() -> None:
    parts = tuple((f"part {n}", float(10 - n)) for n in range(9))
    one = DayAhead(day=DAY, minutes=Minutes(low=49, mean=54, high=60), parts=parts)
    assert day_line(one, DAY).parts.endswith("part 5 5 min, the rest 9 min")
