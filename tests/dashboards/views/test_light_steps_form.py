"""The rows of the form of steps, out of whatever a browser sends."""

import pytest

from dashboards.views.light_steps_form import typed_steps


def test_rows_are_read_by_their_number() -> None:
    told = {"since-2": "2026-05-02", "on-2": "06:00", "off-2": "20:00", "since-10": "2026-05-10"}
    assert [row.since for row in typed_steps(told)] == ["2026-05-02", "2026-05-10"]


@pytest.mark.parametrize("name", ["since-01", "since-\u0661", "since-99999", "since-", "since--1"])
def test_a_name_that_no_row_has_is_no_row(name: str) -> None:
    assert typed_steps({name: "2026-05-01", "on-1": "06:00", "off-1": "20:00"}) == ()
