"""Draws that are looked up."""

from datetime import UTC, datetime, timedelta

import numpy as np

from simulated_feeds.chance import draws

AT = datetime(2026, 3, 1, tzinfo=UTC)


def test_same_seed_name_and_day_give_the_same_draws() -> None:
    assert draws(1, "wind", AT).random(5).tolist() == draws(1, "wind", AT).random(5).tolist()


def test_seed_name_day_and_no_day_each_make_another_stream() -> None:
    streams = [
        draws(1, "wind", AT),
        draws(2, "wind", AT),
        draws(1, "cloud", AT),
        draws(1, "wind", AT + timedelta(days=1)),
        draws(1, "wind"),
    ]
    assert len({float(stream.random()) for stream in streams}) == len(streams)


def test_streams_of_neighbouring_days_are_not_alike() -> None:
    # The correlation of independent draws has a standard error of 1 / sqrt(n).
    n = 10_000
    one = draws(1, "wind", AT).standard_normal(n)
    next_ = draws(1, "wind", AT + timedelta(days=1)).standard_normal(n)
    assert abs(np.corrcoef(one, next_)[0, 1]) < 5 / n**0.5


def test_draws_are_the_ones_of_before() -> None:
    # A recording made again later must have the same bytes: numpy promises the raw stream of
    # Philox, and this notices if our way of keying it changes.
    assert draws(7, "noise", AT).bit_generator.random_raw(2).tolist() == [
        6590409183575840388,
        16840774057156007292,
    ]
