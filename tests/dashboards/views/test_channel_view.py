"""Threads break at gaps; light is what was measured; room is rounded towards trouble."""

from datetime import UTC, datetime, timedelta

import pytest

from dashboards.marks.channel import vertical_range
from dashboards.marks.nest_lines import in_bank
from dashboards.views.banks import AirLimits, air_moment
from dashboards.views.channel_view import dark_at, light_spans, spare_in_words, strands
from service.store.reading_store import Mean

START = datetime(2026, 4, 21, 0, 0, tzinfo=UTC)
WIDTH = timedelta(minutes=5)
GAP = timedelta(minutes=10)


def bucket(n: int, mean: float) -> Mean:
    return Mean(start=START + n * WIDTH, mean=mean)


def test_a_thread_breaks_at_a_gap_and_is_not_joined() -> None:
    found = strands(
        [bucket(n, 12.0) for n in (0, 1, 2, 9, 10)],
        [],
        width=WIDTH,
        max_gap=GAP,
        limits=lambda _: AirLimits(),
    )
    assert [len(strand) for strand in found] == [3, 2]


def test_a_pause_within_what_the_sensor_may_take_breaks_nothing() -> None:
    found = strands(
        [bucket(n, 12.0) for n in (0, 2, 4)],
        [],
        width=WIDTH,
        max_gap=GAP,
        limits=lambda _: AirLimits(),
    )
    assert len(found) == 1


def test_light_is_bare_where_nobody_measured_it() -> None:
    spans = light_spans(
        [bucket(0, 300.0), bucket(1, 0.0), bucket(20, 0.0)],
        threshold_lx=20,
        width=WIDTH,
        max_gap=GAP,
    )
    assert dark_at(spans, START) is False
    assert dark_at(spans, START + WIDTH) is True
    assert dark_at(spans, START + 10 * WIDTH) is None


@pytest.mark.parametrize(
    ("spare", "words"), [(2.9, "2° to spare"), (0.4, "0° to spare"), (-0.2, "-1° to spare")]
)
def test_room_is_rounded_towards_trouble(spare: float, words: str) -> None:
    assert spare_in_words(spare) == words


def test_a_calm_night_is_never_scaled_to_look_steep() -> None:
    calm = [[air_moment(START, 12.0 + n / 10, None, AirLimits()) for n in range(3)]]
    low, high = vertical_range(calm, 15.0)
    assert high - low == 15.0


def test_days_in_the_bank_are_told_from_first_to_last_moment() -> None:
    limits = AirLimits(cold_c=5.0)
    strand = [air_moment(START + n * WIDTH, c, None, limits) for n, c in enumerate([6, 4, 4, 6, 3])]
    assert in_bank([strand]) == [
        (START + WIDTH, START + 2 * WIDTH),
        (START + 4 * WIDTH, START + 4 * WIDTH),
    ]
