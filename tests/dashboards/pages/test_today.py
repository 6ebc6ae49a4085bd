"""Today's list: what it shows, and what a tap does, once, whoever taps."""

import re
from datetime import UTC, date, datetime, timedelta
from html import unescape
from uuid import uuid4, uuid5

import pytest
from httpx import Response

from service.clock import FixedClock
from service.nests.duty import (
    ByCalendar,
    DutyDone,
    DutyTerms,
    DutyWhere,
    EveryDays,
    Missed,
    WhereKind,
)
from service.people.role import Role
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import NOW, FilledShed
from tests.dashboards.house import browser, person, sign_in

BEGAN = NOW - timedelta(hours=1)
"""The duties are made on the day itself, so that nothing was missed before."""


def add(shed: FilledShed, name: str, where: WhereKind, **more: object) -> int:
    terms = {"schedule": ByCalendar(), "since": BEGAN} | more
    made = DutyTerms(name=name, where=DutyWhere(kind=where), **terms)  # type: ignore[arg-type]
    return shed.records.duties.add([made], by="Mara", form_id=uuid4())[0]


@pytest.fixture
def fed(shed: FilledShed) -> FilledShed:
    """Seed and water for four cages; in boxes 1 and 2 a clutch, eggs expected."""
    add(shed, "Seed", WhereKind.EVERY_CAGE)
    add(shed, "Water", WhereKind.EVERY_CAGE)
    return shed


def shown(answer: Response) -> str:
    """The words of a page, each piece on a line of its own."""
    body = re.sub(r"<svg.*?</svg>", "", answer.text, flags=re.DOTALL)
    lines = (unescape(line).strip() for line in re.sub(r"<[^>]+>", "\n", body).splitlines())
    return "\n".join(line for line in lines if line)


def stop(answer: Response, place: str) -> str:
    """The HTML of one stop."""
    found = re.search(
        rf'<section class="cage \w+" id="{place}".*?</section>', answer.text, re.DOTALL
    )
    assert found is not None, place
    return found.group()


def standing(answer: Response) -> dict[str, str]:
    return {
        place: word for word, place in re.findall(r'class="cage (\w+)" id="(\S+?)"', answer.text)
    }


def form(html: str, do: str) -> dict[str, str | list[str]]:
    """What the browser sends when the button ``do`` of a stop is tapped."""
    for one in re.findall(r"<form.*?</form>", html, re.DOTALL):
        buttons = [unescape(value) for value in re.findall(r'name="do" value="([^"]*)"', one)]
        found = next(
            (value for value in buttons if value == do or value.startswith(f"{do}|")), None
        )
        if found is None:
            continue
        sent: dict[str, str | list[str]] = {"do": found}
        for name, value in re.findall(r'type="hidden" name="([^"]*)" value="([^"]*)"', one):
            sent.setdefault(name, [])
            kept = sent[name]
            assert isinstance(kept, list)
            kept.append(unescape(value))
        return sent
    raise AssertionError(f"no button {do}")


def tap(client: TestClient, place: str, do: str) -> Response:
    page = client.get("/today")
    answer: Response = client.post("/today", data=form(stop(page, place), do))
    return answer


def told(shed: FilledShed) -> list[DutyDone]:
    return [one for one in shed.records.duties.done(date(2026, 4, 1)) if one.stands]


@pytest.mark.usefixtures("fed")
def test_cages_stand_in_walking_order_and_the_first_is_open(client: TestClient) -> None:
    found = standing(client.get("/today"))
    assert list(found) == ["cage-1", "cage-2", "cage-3", "cage-4"]
    assert [*found.values()] == ["now", "later", "later", "later"]


@pytest.mark.usefixtures("fed")
def test_a_stop_says_what_to_look_for_and_why_it_may_be_late(client: TestClient) -> None:
    words = shown(client.get("/today"))
    assert "Hold the eggs to a light\n, late since yesterday." in words
    assert "Look for egg 6" in words


def test_without_duties_the_nests_are_there_and_the_way_to_duties(client: TestClient) -> None:
    page = client.get("/today")
    assert "No duties are set up" in shown(page)
    assert standing(page)["cage-1"] == "now"


def test_one_tap_does_all_of_a_stop_and_the_next_opens(fed: FilledShed, client: TestClient) -> None:
    answer = tap(client, "cage-3", "all")
    assert answer.status_code == 303
    assert answer.headers["location"] == "/today?at=cage-3#cage-4"
    done = {(one.slot.place, one.words) for one in told(fed)}
    assert done == {("cage-3", "Seed"), ("cage-3", "Water")}
    page = client.get("/today?at=cage-3")
    assert standing(page) == {
        "cage-1": "later",
        "cage-2": "later",
        "cage-3": "done",
        "cage-4": "now",
    }
    assert "Done 14:30" in stop(page, "cage-3")


@pytest.mark.usefixtures("fed")
def test_after_the_last_stop_the_first_that_was_left_out_is_next(client: TestClient) -> None:
    tap(client, "cage-4", "all")
    assert standing(client.get("/today?at=cage-4"))["cage-1"] == "now"


def test_one_thing_is_done_and_taken_back_by_the_same_button(
    fed: FilledShed, client: TestClient
) -> None:
    tap(client, "cage-3", "done")
    assert [one.words for one in told(fed)] == ["Seed"]
    assert re.search(r"14:30[^<]*, tap to undo", stop(client.get("/today"), "cage-3"))
    tap(client, "cage-3", "undone")
    assert told(fed) == []


def test_a_form_that_comes_twice_is_one_tap(fed: FilledShed, client: TestClient) -> None:
    sent = form(stop(client.get("/today"), "cage-3"), "all")
    first, second = client.post("/today", data=sent), client.post("/today", data=sent)
    assert (first.status_code, second.status_code) == (303, 303)
    assert len(told(fed)) == 2


def test_a_form_that_comes_again_does_not_bring_back_what_was_undone(
    fed: FilledShed, client: TestClient
) -> None:
    sent = form(stop(client.get("/today"), "cage-3"), "all")
    client.post("/today", data=sent)
    tap(client, "cage-3", "undo")
    client.post("/today", data=sent)
    assert told(fed) == []


def test_taps_of_one_page_at_two_stops_are_two_taps(fed: FilledShed, client: TestClient) -> None:
    page = client.get("/today")
    client.post("/today", data=form(stop(page, "cage-3"), "all"))
    client.post("/today", data=form(stop(page, "cage-4"), "all"))
    assert {one.slot.place for one in told(fed)} == {"cage-3", "cage-4"}


def test_the_second_phone_is_told_who_was_first(fed: FilledShed) -> None:
    mara, jo = person(fed, "Mara", Role.KEEPER), person(fed, "Jo", Role.HELPER)
    hers, his = sign_in(browser(fed), fed, mara), sign_in(browser(fed), fed, jo)
    sent = form(stop(his.get("/today"), "cage-3"), "all")
    tap(hers, "cage-3", "all")
    answer = his.post("/today", data=sent)
    assert answer.status_code == 200
    assert "Seed was done before: 14:30, Mara. That stands." in shown(answer)
    assert {one.by for one in told(fed)} == {"Mara"}


def test_undo_takes_back_the_last_tap_alone(fed: FilledShed, client: TestClient) -> None:
    tap(client, "cage-3", "done")
    assert isinstance(fed.clock, FixedClock)
    fed.clock.set(NOW + timedelta(minutes=5))
    tap(client, "cage-3", "all")
    tap(client, "cage-3", "undo")
    assert [one.words for one in told(fed)] == ["Seed"]
    assert standing(client.get("/today?at=cage-3"))["cage-3"] == "now"


def test_all_of_all_cages_is_done_by_one_tap_and_no_box_is_said_to_be_looked_into(
    fed: FilledShed, client: TestClient
) -> None:
    page = client.get("/today")
    every = re.search(
        r'<form method="post" action="/today" class="every">.*?</form>', page.text, re.DOTALL
    )
    assert every is not None
    looks = len(fed.records.nest_book.nest("box-1").checks)
    client.post("/today", data=form(every.group(), "all"))
    assert len(told(fed)) == 8
    assert len(fed.records.nest_book.nest("box-1").checks) == looks
    assert standing(client.get("/today"))["cage-1"] == "now"


@pytest.mark.usefixtures("fed")
def test_where_something_is_expected_the_plain_tap_says_nothing_new(client: TestClient) -> None:
    first = stop(client.get("/today"), "cage-1")
    assert "All done, and nothing new" in first
    assert "as expected" not in first
    assert "Box 1: still 5 eggs" in first


def test_a_plain_look_is_in_the_book_once_and_can_be_taken_back(
    fed: FilledShed, client: TestClient
) -> None:
    before = len(fed.records.nest_book.nest("box-1").checks)
    sent = form(stop(client.get("/today"), "cage-1"), "all")
    for _ in range(2):
        client.post("/today", data=sent)
    nest = fed.records.nest_book.nest("box-1")
    assert len(nest.checks) == before + 1
    assert (nest.checks[-1].eggs, nest.checks[-1].at) == (5, NOW)
    done = stop(client.get("/today"), "cage-1")
    assert "Looked 14:30: 5 eggs" in done
    tap(client, "cage-1", "undo")
    assert len(fed.records.nest_book.nest("box-1").checks) == before
    assert told(fed) == []


def test_a_look_from_a_page_that_is_older_than_the_book_is_not_written(
    fed: FilledShed, client: TestClient
) -> None:
    sent = form(stop(client.get("/today"), "cage-2"), "all")
    fed.look(2, 0, 2)
    answer = client.post("/today", data=sent)
    assert "Box 2 was told of by somebody since this page was read" in shown(answer)
    checks = fed.records.nest_book.nest("box-2").checks
    assert [check.eggs for check in checks][-1] == 2
    assert len(told(fed)) == 2


def test_a_look_by_the_form_settles_the_stop(fed: FilledShed, client: TestClient) -> None:
    tap(client, "cage-2", "done")
    fed.look(2, 0, 2)
    tap(client, "cage-2", "done")
    assert standing(client.get("/today"))["cage-2"] == "done"


def test_a_duty_to_look_wants_a_look_at_each_of_its_visits(
    shed: FilledShed, client: TestClient
) -> None:
    add(shed, "Look into the box", WhereKind.EVERY_BOX, look=True)
    third = stop(client.get("/today"), "cage-3")
    assert "All done, as expected" in third
    assert "Box 3: still empty" in third
    tap(client, "cage-3", "all")
    assert standing(client.get("/today"))["cage-3"] == "done"
    tap(client, "cage-3", "undo")
    assert standing(client.get("/today"))["cage-3"] == "later"
    assert told(shed) == []


def test_a_look_taken_back_at_an_empty_box_leaves_the_book(
    shed: FilledShed, client: TestClient
) -> None:
    add(shed, "Look into the box", WhereKind.EVERY_BOX, look=True)
    sent = form(stop(client.get("/today"), "cage-3"), "all")
    client.post("/today", data=sent)
    (marked,) = told(shed)
    assert marked.form_id is not None
    look = str(uuid5(marked.form_id, "box-3"))
    assert shed.records.nest_book.check(look) is not None
    tap(client, "cage-3", "undo")
    assert shed.records.nest_book.check(look) is None


def test_what_was_missed_is_carried_and_says_since_when(
    shed: FilledShed, client: TestClient
) -> None:
    add(
        shed,
        "Trays",
        WhereKind.EVERY_CAGE,
        schedule=EveryDays(days=14, first=date(2026, 4, 19)),
        since=datetime(2026, 4, 18, 6, tzinfo=UTC),
        missed=Missed.CARRIED,
    )
    assert "missed 19 April" in stop(client.get("/today"), "cage-3")


def test_what_is_dropped_is_told_once_and_not_asked_again(
    shed: FilledShed, client: TestClient
) -> None:
    add(shed, "Seed", WhereKind.EVERY_CAGE, since=datetime(2026, 4, 20, 1, tzinfo=UTC))
    words = shown(client.get("/today"))
    assert "Left out, and not asked for again: Seed in 4 places yesterday." in words


def test_a_caution_stands_where_the_duty_is(shed: FilledShed, client: TestClient) -> None:
    add(shed, "Trays", WhereKind.EVERY_CAGE, caution="Damp the droppings first.")
    assert "Trays: Damp the droppings first." in stop(client.get("/today"), "cage-1")


def test_a_suggestion_is_asked_at_its_stop_and_answered_once(
    shed: FilledShed, client: TestClient
) -> None:
    words = "Box 3 is 2.1 g heavier since 6:10. Is there an egg?"
    one = shed.records.suggestions.suggest(place="box-3", kind="egg", words=words, at=NOW)
    page = client.get("/today")
    assert words in stop(page, "cage-3")
    yes = form(stop(page, "cage-3"), "ask") | {"do": f"ask|{one.id}|yes"}
    no = yes | {"do": f"ask|{one.id}|no"}
    assert client.post("/today", data=yes).status_code == 303
    answer = client.post("/today", data=no)
    assert "That was answered before: yes, 14:30" in shown(answer)
    client.post("/today", data=yes | {"do": f"ask|{one.id}|"})
    assert shed.records.suggestions.suggestions(NOW)[0].answer is None


def test_a_suggestion_that_is_put_off_leaves_the_walk_for_a_while(
    shed: FilledShed, client: TestClient
) -> None:
    one = shed.records.suggestions.suggest(place="box-3", kind="egg", words="An egg?", at=NOW)
    assert standing(client.get("/today"))["cage-3"] == "later"
    sent = form(stop(client.get("/today"), "cage-3"), "ask") | {"do": f"ask|{one.id}|later"}
    client.post("/today", data=sent)
    assert standing(client.get("/today"))["cage-3"] == "done"
    assert isinstance(shed.clock, FixedClock)
    shed.clock.set(NOW + timedelta(hours=4))
    assert standing(client_of(shed).get("/today"))["cage-3"] == "later"


def test_a_helper_takes_back_only_what_they_did(fed: FilledShed) -> None:
    mara, jo = person(fed, "Mara", Role.KEEPER), person(fed, "Jo", Role.HELPER)
    hers, his = sign_in(browser(fed), fed, mara), sign_in(browser(fed), fed, jo)
    tap(hers, "cage-3", "all")
    line = stop(his.get("/today"), "cage-3")
    assert "undo" not in line
    forged = form(stop(hers.get("/today"), "cage-3"), "undo")
    answer = his.post("/today", data=forged)
    assert answer.status_code == 422
    assert "Mara did that; the keeper can take it back." in shown(answer)
    assert len(told(fed)) == 2
    tap(his, "cage-4", "all")
    tap(his, "cage-4", "undo")
    assert {one.slot.place for one in told(fed)} == {"cage-3"}


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"do": "dance"}, "Nothing was tapped"),
        ({"form_id": "7"}, "This form has no number"),
        ({"do": "ask|x|yes"}, "That is no answer"),
        ({"do": "ask|1|perhaps"}, "That is no answer"),
    ],
)
def test_what_no_form_of_ours_sends_is_refused_in_words(
    fed: FilledShed, client: TestClient, changed: dict[str, str], words: str
) -> None:
    sent = form(stop(client.get("/today"), "cage-3"), "all") | changed
    answer = client.post("/today", data=sent)
    assert answer.status_code == 422
    assert words in shown(answer)
    assert told(fed) == []


def test_a_duty_that_was_taken_away_meanwhile_is_told_and_the_rest_is_done(
    fed: FilledShed, client: TestClient
) -> None:
    sent = form(stop(client.get("/today"), "cage-3"), "all")
    water = fed.records.duties.duties()[1]
    fed.records.duties.take_away(water.id, at=NOW, by="Mara")
    answer = client.post("/today", data=sent)
    assert "A duty was taken away since this page was read" in shown(answer)
    assert [one.words for one in told(fed)] == ["Seed"]


@pytest.mark.usefixtures("fed")
def test_a_silent_shed_says_that_nobody_can_tell_of_the_night(client: TestClient) -> None:
    words = shown(client.get("/today"))
    assert "The night in Hazel shed: cannot tell, th-shed told nothing." in words
