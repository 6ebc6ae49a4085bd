"""Stops of today's list: their order, which is now, and what they say from afar."""

from datetime import timedelta
from uuid import UUID

import pytest

from dashboards.views.today_stops import Walk, slot_of, stop_ids, stops_of, token_of
from dashboards.views.today_view import Stop
from service.nests.duty import (
    ByCalendar,
    Duty,
    DutyDone,
    DutyDue,
    DutySlot,
    DutyTerms,
    DutyWhere,
    Visit,
    WhereKind,
)
from service.nests.place import Place, PlaceKind
from service.nests.suggestion import Answer, Suggestion
from tests.dashboards.filled_shed import NOW, ZONE, places

TODAY = NOW.date()
FLIGHT = Place(id="flight", kind=PlaceKind.FLIGHT, name="Long flight", within="shed", order=99)
ACT = UUID("00000000-0000-4000-8000-000000000001")


def due(place: str, words: str = "Seed", number: int = 1, **changed: object) -> DutyDue:
    terms = DutyTerms(
        name=words, where=DutyWhere(kind=WhereKind.EVERY_CAGE), schedule=ByCalendar(), since=NOW
    )
    told = {"sure": True, "why": "every day"} | changed
    return DutyDue(
        duty=Duty(id=number, terms=terms),
        place=place,
        day=TODAY,
        visit=Visit.MORNING,
        words=words,
        since=NOW,
        until=NOW + timedelta(hours=4),
        **told,  # type: ignore[arg-type]
    )


def done(place: str, *, by: str = "Mara", minutes_ago: int = 5, number: int = 1) -> DutyDone:
    return DutyDone(
        id=number,
        slot=DutySlot(duty_id=number, place=place, day=TODAY, visit=Visit.MORNING),
        words="Seed",
        at=NOW - timedelta(minutes=minutes_ago),
        by=by,
        form_id=ACT,
    )


def walked(at: str | None = None, **told: object) -> list[Stop]:
    walk = {
        "places": (*places(4), FLIGHT),
        "due": (),
        "done": (),
        "looks": {},
        "nights": {},
        "suggestions": (),
        "since": NOW - timedelta(hours=6),
    } | told
    return stops_of(Walk(**walk), NOW, ZONE, at=at)  # type: ignore[arg-type]


def now_at(stops: list[Stop]) -> str | None:
    return next((stop.place for stop in stops if stop.standing == "now"), None)


def test_a_box_belongs_to_its_cage_and_one_without_a_cage_to_itself() -> None:
    alone = Place(id="box-9", kind=PlaceKind.BOX, name="Box 9", within="shed", order=50)
    found = stop_ids((*places(1), alone))
    assert found == {"shed": "shed", "cage-1": "cage-1", "box-1": "cage-1", "box-9": "box-9"}


@pytest.mark.parametrize(
    ("at", "now"), [(None, "cage-1"), ("cage-2", "cage-2"), ("cage-3", "cage-1"), ("x", "cage-1")]
)
def test_now_is_where_the_keeper_was_then_what_follows_then_what_was_left_out(
    at: str | None, now: str
) -> None:
    stops = walked(at, due=(due("cage-1"), due("cage-2")), done=(done("cage-3"),))
    assert now_at(stops) == now


def test_a_shed_without_a_duty_is_no_stop_and_a_flight_always_is_one() -> None:
    found = {stop.place: stop.told for stop in walked()}
    assert "shed" not in found
    assert found["flight"] == "Long flight: nothing due"
    assert "shed" in {stop.place for stop in walked(due=(due("shed"),))}


def test_what_is_due_at_most_stops_is_the_usual_and_the_rest_is_named() -> None:
    everywhere = [due(f"cage-{n}") for n in range(1, 5)]
    stops = walked(due=(*everywhere, due("cage-3", "Soft food", 2)))
    told = {stop.place: stop.told for stop in stops}
    assert (told["cage-2"], told["cage-3"]) == ("The usual", "The usual, Soft food")


def test_a_condition_that_nobody_can_tell_says_so_at_its_button() -> None:
    why = "cannot tell whether it is due: no thermometer tells of this place"
    (part,) = walked(due=(due("cage-1", sure=False, why=why),))[0].due
    assert part.note == why


def test_a_stop_is_done_by_whom_and_when() -> None:
    stop = walked(done=(done("cage-1"), done("cage-1", by="Jo", minutes_ago=2, number=2)))[0]
    assert (stop.standing, stop.told) == ("done", "Done 14:28, Jo and Mara")


def test_undo_is_of_the_newest_tap_and_for_a_helper_of_their_own() -> None:
    told = (done("cage-1"), done("cage-1", by="Jo", minutes_ago=9, number=2))
    assert walked(done=told)[0].undo.done_ids == (1,)
    assert walked(done=told, only_by="Jo")[0].undo.done_ids == (2,)
    assert not walked(done=told[:1], only_by="Jo")[0].undo


def test_a_suggestion_that_is_asked_keeps_its_stop_open_and_an_answer_closes_it() -> None:
    asked = Suggestion(id=1, place="box-2", made_at=NOW, kind="egg", words="An egg?")
    answered = Suggestion(
        id=1,
        place="box-2",
        made_at=NOW,
        kind="egg",
        words="An egg?",
        answer=Answer.NO,
        answered_at=NOW,
        answered_by="Mara",
    )
    assert now_at(walked(suggestions=(asked,))) == "cage-2"
    stop = walked(suggestions=(answered,))[1]
    assert (stop.standing, stop.suggestions[0].answered) == ("done", "no, 14:30, Mara")


def test_a_slot_goes_through_a_form_whatever_its_place_is_called() -> None:
    slot = DutySlot(duty_id=7, place="cage|of|many", day=TODAY, visit=Visit.EVENING)
    assert slot_of(token_of(slot)) == slot


@pytest.mark.parametrize("token", ["", "7", "x|2026-04-21|morning|cage-1", "7|soon|morning|c"])
def test_what_is_no_slot_is_none(token: str) -> None:
    assert slot_of(token) is None
