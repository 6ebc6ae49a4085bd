"""Night rows as arrays."""

from datetime import date, timedelta

import pytest

from service.study.outlook_table import ages, hour_table
from tests.service.study.made_up_nights import quarters_of, rows_of

BY = "below 2.0"
ROWS = rows_of(quarters_of(5), 3)


def test_what_the_keeper_saw_stands_before_the_margin() -> None:
    rows = ROWS[:3]
    seen = {rows[1].evening: not rows[1].condensed}
    plain = hour_table(rows, 0, surface_by=BY, looks={}).wet
    told = hour_table(rows, 0, surface_by=BY, looks=seen).wet
    assert list(plain != told) == [False, True, False]


def test_old_nights_count_less_and_those_before_a_change_half_of_that() -> None:
    until = date(2026, 6, 1)
    evenings = [until - timedelta(days=90), until]
    assert ages(evenings, until) == pytest.approx([0.5, 1.0])
    assert ages(evenings, until, until) == pytest.approx([0.25, 1.0])
