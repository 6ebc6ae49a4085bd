"""Alarms as rows."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from dashboards.views.alarms_view import MOST_PAST, AlarmsKept, AlarmsView, alarms_view
from service.alarms.alarm import Alarm, AlarmState
from service.alarms.suppression import Suppression, SuppressionKind
from service.quality.flag import Flag
from service.rules.limit import Priority
from service.rules.limit_rationales import rationale_of_limit
from service.store.alarm_store import Request, RequestKind
from service.store.reading_store import Latest
from tests.dashboards.filled_shed import NOW, settings
from tests.dashboards.views.walls import alarm, newest

SET_UP = settings(Path("/nowhere"))
SHELF = Suppression(
    rule="cold",
    kind=SuppressionKind.SHELVED,
    since=NOW - timedelta(minutes=10),
    until=NOW + timedelta(hours=2),
    reason="I am at it",
    by="Mara",
)


def view_of(
    *open_alarms: Alarm,
    past: Sequence[Alarm] = (),
    shelves: Sequence[Suppression] = (),
    pending: Sequence[Request] = (),
    values: Sequence[Latest] = (),
) -> AlarmsView:
    kept = AlarmsKept(
        open=open_alarms, past=past, suppressions=shelves, pending=pending, newest=values
    )
    return alarms_view(kept, SET_UP, NOW, night=False)


def lies_over(told: Alarm, kind: SuppressionKind, why: str = "why") -> Alarm:
    return replace(told, suppressed=kind, suppressed_why=why, suppressed_until=SHELF.until)


def asked(kind: RequestKind, subject: str) -> Request:
    return Request(id=1, kind=kind, subject=subject, by="Mara", at=NOW)


def test_an_alarm_says_what_to_do_how_soon_and_what_else_happens() -> None:
    (row,) = view_of(alarm("cold")).told
    rationale = rationale_of_limit(SET_UP.limits[0])
    assert row.word == "act now"
    assert row.why is not None
    assert row.why.response == rationale.response
    assert row.why.within == "an hour"
    assert row.why.consequence == rationale.consequence
    assert row.why.cautions == rationale.cautions


def test_the_worst_comes_first_and_what_is_over_last() -> None:
    over = alarm("hot", state=AlarmState.RETURNED_UNACKNOWLEDGED, cleared_at=NOW)
    noted = alarm("dry", priority=Priority.LOW)
    silent = alarm("overdue-together:shed", priority=Priority.MEDIUM)
    rows = view_of(over, noted, silent, alarm("cold")).told
    assert [row.kind for row in rows] == ["act", "silent", "noted", "over"]


def test_an_alarm_says_what_is_measured_now_and_how_old_that_is() -> None:
    (row,) = view_of(alarm("cold"), values=newest()).told
    assert row.now == "Now 12.0°, 30 s ago."
    (row,) = view_of(alarm("cold"), values=newest(flag=Flag.SUSPECT)).told
    assert row.now == "Now 12.0°, doubtful, 30 s ago."


def test_a_value_that_is_too_old_or_failed_is_not_now() -> None:
    (row,) = view_of(alarm("cold"), values=newest(skip=("th-shed",))).told
    assert row.now == "Last heard 12.0°, 2 h ago."
    (row,) = view_of(alarm("cold"), values=newest(flag=Flag.FAIL)).told
    assert row.now == "Nothing there is measured now."


def test_what_is_no_limit_measures_nothing() -> None:
    assert view_of(alarm("overdue:th-2"), values=newest()).told[0].now == ""


def test_a_limit_that_is_set_no_more_still_stands_as_an_alarm() -> None:
    (row,) = view_of(alarm("gone")).told
    assert row.why is None
    assert row.may_acknowledge


def test_a_shelved_alarm_stands_among_those_nobody_is_told_of() -> None:
    view = view_of(lies_over(alarm("cold"), SuppressionKind.SHELVED), shelves=[SHELF])
    assert view.told == ()
    (row,) = view.shelved
    assert row.name == "Hazel shed: temperature under 5°"
    assert row.told == "Shelved 14:20 by Mara: I am at it"
    assert row.until == "Until 16:30."
    assert row.is_wrong
    assert row.now == "It is so now: told Nothing there is measured now."


def test_a_one_shot_shelf_says_its_longest_end() -> None:
    (row,) = view_of(shelves=[replace(SHELF, one_shot=True)]).shelved
    assert row.until == "Until it is over, 16:30 at the latest."
    assert row.now == "It says nothing now."


def test_what_is_out_of_service_without_an_end_says_so() -> None:
    out = replace(SHELF, kind=SuppressionKind.OUT_OF_SERVICE, until=None)
    (row,) = view_of(shelves=[out]).shelved
    assert row.until == "Until somebody puts it back."
    assert row.back == "Put it back into service"


def test_what_its_cause_hides_is_listed_with_the_cause() -> None:
    hidden = lies_over(
        alarm("cold", place="box-2"), SuppressionKind.BY_DESIGN, "It comes with this"
    )
    view = view_of(hidden)
    assert view.told == ()
    assert [row.why for row in view.hidden] == ["It comes with this"]


def test_a_latched_alarm_that_is_hidden_is_not_lost_from_the_page() -> None:
    latched = alarm("cold", state=AlarmState.LATCHED_UNACKNOWLEDGED, cleared_at=NOW)
    assert len(view_of(lies_over(latched, SuppressionKind.BY_DESIGN)).hidden) == 1


def test_what_was_asked_is_not_offered_again() -> None:
    cold = alarm("cold")
    (row,) = view_of(cold, pending=[asked(RequestKind.ACKNOWLEDGE, cold.id)]).told
    assert not row.may_acknowledge
    assert row.standing.startswith("asked")
    (row,) = view_of(cold, pending=[asked(RequestKind.SHELVE, "cold")]).told
    assert row.shelf is None
    (shelf,) = view_of(shelves=[SHELF], pending=[asked(RequestKind.UNSHELVE, "cold")]).shelved
    assert shelf.is_asked


def test_the_past_says_who_saw_it_and_of_what_nobody_was_told() -> None:
    over = alarm("cold", state=AlarmState.NORMAL, cleared_at=NOW - timedelta(minutes=5))
    seen = replace(over, acknowledged_at=NOW, acknowledged_by="Mara")
    hidden = lies_over(over, SuppressionKind.BY_DESIGN)
    told = replace(over, told_at=over.raised_at)
    rows = view_of(past=[seen, hidden, told, alarm("hot")]).past
    assert [row.standing for row in rows] == [
        "seen 14:30 by Mara",
        "not told: suppressed by design",
        "nobody has seen it",
    ]
    assert rows[0].when == "13:30 to 14:25"


def test_a_flood_of_past_alarms_is_cut_and_counted() -> None:
    over = alarm("cold", state=AlarmState.NORMAL, cleared_at=NOW)
    view = view_of(past=[over] * (MOST_PAST + 7))
    assert len(view.past) == MOST_PAST
    assert view.past_more == 7
