"""Steps of light, made by a plan."""

from datetime import date, time, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.climate.light_plan import LampSchedule
from service.climate.light_programme import Lengthening, Moves, light_min, programme

LAMPS = LampSchedule(on=time(8), off=time(17), dim=timedelta(minutes=30))
GROWING = Lengthening(
    first=date(2026, 1, 1),
    from_min=9 * 60,
    to_min=14 * 60,
    by_min=15,
    every_days=3,
    moves=Moves.MORNING,
)


def test_nine_hours_grow_to_fourteen_in_twenty_steps() -> None:
    steps = programme(GROWING, LAMPS)
    assert len(steps) == 21
    assert (steps[0].since, steps[0].schedule) == (date(2026, 1, 1), LAMPS)
    assert (steps[1].since, steps[1].schedule.on) == (date(2026, 1, 4), time(7, 45))
    assert (steps[-1].since, steps[-1].schedule.on) == (date(2026, 3, 2), time(3))
    assert {step.schedule.off for step in steps} == {time(17)}


@pytest.mark.parametrize(
    ("moves", "last"),
    [
        (Moves.MORNING, (time(3), time(17))),
        (Moves.EVENING, (time(8), time(22))),
        (Moves.BOTH, (time(5, 30), time(19, 30))),
    ],
)
def test_the_end_of_the_day_that_was_chosen_moves(moves: Moves, last: tuple[time, time]) -> None:
    terms = Lengthening(
        first=GROWING.first, from_min=540, to_min=840, by_min=15, every_days=3, moves=moves
    )
    schedule = programme(terms, LAMPS)[-1].schedule
    assert (schedule.on, schedule.off) == last


def test_a_programme_of_more_steps_than_a_page_can_show_is_refused() -> None:
    terms = Lengthening(
        first=GROWING.first, from_min=60, to_min=1380, by_min=1, every_days=1, moves=Moves.BOTH
    )
    with pytest.raises(ValueError, match="1321 steps"):
        programme(terms, LAMPS)


@settings(max_examples=40)
@given(
    st.builds(
        Lengthening,
        first=st.just(GROWING.first),
        from_min=st.integers(60, 1380),
        to_min=st.integers(60, 1380),
        by_min=st.integers(10, 240),
        every_days=st.integers(1, 30),
        moves=st.sampled_from(Moves),
    ),
    st.times().map(lambda one: one.replace(second=0, microsecond=0)),
)
def test_every_programme_goes_from_the_first_length_to_the_last_and_never_back(
    terms: Lengthening, on: time
) -> None:
    lamps = LampSchedule(on=on, off=time((on.hour + 9) % 24, on.minute))
    lengths = [light_min(step.schedule) for step in programme(terms, lamps)]
    assert (lengths[0], lengths[-1]) == (terms.from_min, terms.to_min)
    assert lengths == sorted(lengths, reverse=terms.to_min < terms.from_min)
