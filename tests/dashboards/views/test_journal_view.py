"""The journal in words."""

from datetime import date, timedelta
from pathlib import Path

from dashboards.views.journal_view import MOST_LINES, JournalView, journal_view
from service.alarms.journal import Happened, JournalLine
from tests.dashboards.filled_shed import NOW, settings
from tests.dashboards.views.walls import alarm

SET_UP = settings(Path("/nowhere"))
TODAY = date(2026, 4, 21)


def told(*lines: JournalLine) -> JournalView:
    cold = alarm("cold")
    return journal_view(
        lines, {cold.id: cold}, SET_UP, TODAY - timedelta(days=6), TODAY, older=TODAY, newer=None
    )


def line(happened: Happened, hours_ago: float = 0.0, **more: str) -> JournalLine:
    at = NOW - timedelta(hours=hours_ago)
    return JournalLine(at=at, rule="cold", happened=happened, alarm_id="cold-shed", **more)


def test_it_says_what_when_and_who() -> None:
    view = told(line(Happened.ACKNOWLEDGED, by="Mara"), line(Happened.RAISED, 1))
    (day,) = view.days
    assert day.name == "Tuesday, 21 April"
    assert [(row.time, row.happened, row.what) for row in day.rows] == [
        ("14:30", "Seen by Mara", "Hazel shed: temperature under 5°"),
        ("13:30", "Came", "told"),
    ]


def test_days_are_the_sheds_own() -> None:
    view = told(line(Happened.CLEARED, 14), line(Happened.RAISED, 15))
    assert [day.name for day in view.days] == ["Tuesday, 21 April", "Monday, 20 April"]


def test_every_kind_of_line_has_words_and_keeps_its_note() -> None:
    view = told(*(line(one, note="why") for one in Happened))
    rows = view.days[0].rows
    assert len({row.happened for row in rows}) == len(Happened)
    assert {row.note for row in rows} == {"why"}


def test_a_week_with_too_many_lines_is_cut_and_counted() -> None:
    view = told(*[line(Happened.RAISED)] * (MOST_LINES + 3))
    assert sum(len(day.rows) for day in view.days) == MOST_LINES
    assert view.more == 3
