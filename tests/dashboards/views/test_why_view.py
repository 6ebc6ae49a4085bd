"""Every rule stands in the table, with why it is there."""

from dataclasses import replace
from pathlib import Path

from dashboards.views.why_view import why_view
from service.rules.limit import Priority
from service.rules.rationales import RATIONALES
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
