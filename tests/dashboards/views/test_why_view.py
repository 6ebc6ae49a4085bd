"""Every rule stands in the table, with why it is there."""

from dataclasses import replace
from pathlib import Path

import pytest

from dashboards.views.why_view import number_in_words, why_view
from service.rules.limit import Priority
from service.rules.rationales import RATIONALES
from service.rules.settable import Number
from service.rules.settables import SETTABLES
from tests.dashboards.filled_shed import limits, settings

SET_UP = settings(Path("/nowhere"))


def test_every_limit_that_is_set_and_every_kind_of_rule_has_its_row() -> None:
    rows = why_view(SET_UP).rows
    speaks = " ".join(line for row in rows for line in row.speaks)
    for told in ("under 5°", "over 28°", "over 80%", "under 40%"):
        assert told in speaks
    assert set(RATIONALES) <= {row.id for row in rows}
    assert all(row.cause and row.consequence and row.response and row.source for row in rows)


def test_limits_of_one_kind_and_priority_share_a_row() -> None:
    more = replace(limits()[0], id="box-cold", place="box-2", low=10.0)
    rows = why_view(replace(SET_UP, limits=(*limits(), more))).rows
    cold = next(row for row in rows if row.name == "Too cold")
    assert cold.speaks == (
        "Hazel shed: temperature under 5°",
        "Box 2: temperature under 10°",
    )
    watched = replace(more, priority=Priority.MEDIUM)
    rows = why_view(replace(SET_UP, limits=(*limits(), watched))).rows
    assert [row.priority for row in rows if row.name == "Too cold"] == ["act now", "watch"]


def test_the_urgent_ones_come_first_and_are_counted() -> None:
    view = why_view(SET_UP)
    words = [row.priority for row in view.rows]
    assert words == sorted(words, key=["act now", "watch", "noted"].index)
    assert view.counts.startswith(f"{words.count('act now')} act now, ")


def test_without_a_limit_the_table_says_so() -> None:
    assert why_view(replace(SET_UP, limits=())).no_limits


@pytest.mark.parametrize(
    ("words", "value", "told"),
    [
        ("after so many minutes", 30.0, "after 30 minutes"),
        ("late for so many days", 1.0, "late for 1 day"),
        ("so many hours over the usual days", 12.0, "12 hours over the usual days"),
        ("So many of the last twenty", 5.0, "5 of the last twenty"),
        ("falls by", 2.5, "falls by: 2.5 K"),
    ],
)
def test_a_number_stands_in_its_words(words: str, value: float, told: str) -> None:
    number = Number(key="n", words=words, unit="K", usual=1, least=0, most=99)
    assert number_in_words(number, value) == told


def test_what_may_be_set_of_a_rule_is_told_as_it_is_set() -> None:
    rows = {row.id: row for row in why_view(SET_UP).rows}
    for settable in SETTABLES:
        assert rows[settable.kind].speaks[0] == settable.says
        assert rows[settable.kind].off is not settable.usually_on
