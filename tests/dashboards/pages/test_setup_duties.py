"""Duties over real stores: templates in one tap, edits, two who edit at once, what runs low."""

import re
from collections.abc import Iterator
from datetime import UTC, time
from pathlib import Path
from uuid import uuid4

import pytest

from service.climate.food_clock import Keeping, KeepsTo
from service.nests.duty import (
    BeforeItSours,
    ByCalendar,
    ByStage,
    EveryDays,
    Missed,
    OnWarmDay,
    RotaStep,
    Visit,
    VisitTimes,
    Weekday,
    WhereKind,
)
from service.nests.duty_templates import TEMPLATES
from service.nests.stage import Stage
from service.people.role import Role
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import NOW, FilledShed, open_shed
from tests.dashboards.house import browser, people_of, sign_in

Form = dict[str, str | list[str]]
SWEEP: Form = {
    "name": "Sweep the floor",
    "where": "the shed",
    "kind": "calendar",
    "weekday": ["MONDAY", "FRIDAY"],
    "visit": ["morning"],
    "missed": "carried",
    "minutes": "4,5",
}


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[FilledShed]:
    opened = open_shed(tmp_path)
    yield opened
    opened.close()


@pytest.fixture
def client(shed: FilledShed) -> TestClient:
    return client_of(shed)


def add(client: TestClient, **changed: str | list[str]) -> tuple[int, str]:
    answer = client.post("/setup/duties/new", data={**SWEEP, "form_id": str(uuid4()), **changed})
    return answer.status_code, answer.text


def test_all_duties_to_begin_with_come_with_one_tap_and_a_second_tap_adds_none(
    shed: FilledShed, client: TestClient
) -> None:
    form = {"template": "all", "form_id": str(uuid4())}
    for _ in range(2):
        assert client.post("/setup/duties", data=form).status_code == 303
    client.post("/setup/duties", data=form | {"form_id": str(uuid4())})
    names = [duty.name for duty in shed.records.duties.duties()]
    assert names == [one.name for one in TEMPLATES]
    assert "To begin with" not in client.get("/setup/duties").text


def test_one_template_is_offered_no_more_once_it_is_there(client: TestClient) -> None:
    client.post("/setup/duties", data={"template": "water", "form_id": str(uuid4())})
    page = client.get("/setup/duties").text
    assert 'value="water"' not in page
    assert 'value="seed"' in page
    assert "2 days plain water, 2 days with supplement" in page
    assert "today plain water, day 1 of 2" in page


def test_a_duty_of_ones_own_is_kept_as_it_was_told(shed: FilledShed, client: TestClient) -> None:
    assert add(client)[0] == 303
    [duty] = shed.records.duties.duties()
    terms = duty.terms
    assert terms.schedule == ByCalendar(weekdays=frozenset({Weekday.MONDAY, Weekday.FRIDAY}))
    assert (terms.where.kind, terms.missed, terms.minutes) == (WhereKind.SHED, Missed.CARRIED, 4.5)
    assert terms.since == NOW.astimezone(UTC)
    assert "The duty Sweep the floor was added." in shed.records.changes.changes()[0].what


@pytest.mark.parametrize(
    ("told", "schedule"),
    [
        (
            {"kind": "stage", "stage": ["sitting", "laying"], "every": "3"},
            ByStage(stages=frozenset({Stage.LAYING, Stage.SITTING}), every=3),
        ),
        ({"kind": "warm", "over": "27.5", "hours": "6"}, OnWarmDay(over_c=27.5, every_h=6)),
        (
            {
                "kind": "sours",
                "put_out": "06:30",
                "food_stage": ["rearing"],
                "keeps.1.to": "20",
                "keeps.1.hours": "5,5",
                "hotter": "2",
            },
            BeforeItSours(
                put_out=time(6, 30),
                stages=frozenset({Stage.REARING}),
                keeping=Keeping(steps=(KeepsTo(up_to_c=20, hours=5.5),), hotter_h=2),
            ),
        ),
    ],
    ids=["stage", "warm", "sours"],
)
def test_each_kind_of_schedule_is_kept_and_stands_in_its_form_again(
    shed: FilledShed, client: TestClient, told: Form, schedule: object
) -> None:
    add(client, **told)
    [duty] = shed.records.duties.duties()
    assert duty.terms.schedule == schedule
    page = client.get(f"/setup/duties/{duty.id}").text
    assert re.search(rf'value="{told["kind"]}" checked', page)


def test_an_interval_and_a_rota_are_kept(shed: FilledShed, client: TestClient) -> None:
    status, _ = add(
        client,
        kind="every",
        days="10",
        first="2026-03-29",
        rota_first="2026-03-30",
        **{
            "step.1.words": "plain",
            "step.1.days": "2",
            "step.3.words": "mixed",
            "step.3.days": "1",
        },
    )
    assert status == 303
    terms = shed.records.duties.duties()[0].terms
    assert isinstance(terms.schedule, EveryDays)
    assert (terms.schedule.days, f"{terms.schedule.first}") == (10, "2026-03-29")
    assert terms.rota == (RotaStep(words="plain", days=2), RotaStep(words="mixed", days=1))
    assert f"{terms.rota_first}" == "2026-03-30"


def test_what_waits_for_a_warm_day_is_dropped_with_the_day(
    shed: FilledShed, client: TestClient
) -> None:
    add(client, kind="warm", over="25", hours="4", missed="carried")
    assert shed.records.duties.duties()[0].terms.missed is Missed.DROPPED


@pytest.mark.parametrize(
    ("told", "sentence"),
    [
        ({"name": " "}, "needs a name"),
        ({"name": "x" * 61}, "61 letters are too many; at most 60"),
        ({"name": "Se\u202eed"}, "a sign in it that can&#39;t be seen"),
        ({"where": "every moon"}, "Say for which places"),
        ({"where": "named places"}, "tick at least one of them"),
        ({"where": "named places", "place": "nowhere"}, "tick at least one of them"),
        ({"kind": "never"}, "Say when the duty is due"),
        ({"weekday": "SOMEDAY"}, "Days of the week: tick at least one"),
        ({"kind": "every", "days": "0", "first": "2026-03-01"}, "0 is not allowed"),
        ({"kind": "every", "days": "7", "first": "31 June"}, "31 June is no day"),
        ({"kind": "stage", "every": "2"}, "Stages of the nest: tick at least one"),
        ({"kind": "warm", "over": "hot", "hours": "4"}, "hot is not allowed"),
        ({"kind": "warm", "over": "nan", "hours": "4"}, "nan is not allowed"),
        ({"kind": "sours", "put_out": "early", "hotter": "1"}, "Put out at: early is no time"),
        ({"kind": "sours", "put_out": "07:00", "hotter": "0"}, "0 is not allowed"),
        (
            {
                "kind": "sours",
                "put_out": "07:00",
                "keeps.1.to": "20",
                "keeps.1.hours": "1",
                "hotter": "2",
            },
            "can&#39;t keep longer where it is warmer",
        ),
        ({"visit": "midnight"}, "Visits: tick at least one"),
        ({"minutes": "-1"}, "-1 is not allowed; allowed: a number, 0 to 600"),
        ({"missed": "lost"}, "what becomes of the duty when it is missed"),
        ({"step.1.words": "plain", "step.1.days": ""}, "Rota, plain: days: nothing is not"),
        ({"step.2.words": "", "step.2.days": "2"}, "say what is done then"),
        ({"caution": "x" * 301}, "The caution: 301 letters are too many"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence_and_what_was_typed_stays(
    shed: FilledShed, client: TestClient, told: Form, sentence: str
) -> None:
    status, page = add(client, **{"rota_first": "2026-03-01", "caution": "Mind the step", **told})
    assert status == 422
    assert sentence in page
    assert 'value="4,5"' in page or "minutes" in told
    assert shed.records.duties.duties() == []


def test_a_form_that_is_sent_twice_makes_one_duty(shed: FilledShed, client: TestClient) -> None:
    form_id = str(uuid4())
    assert [add(client, form_id=form_id)[0] for _ in range(2)] == [303, 303]
    assert len(shed.records.duties.duties()) == 1


def test_a_form_without_its_number_is_refused(shed: FilledShed, client: TestClient) -> None:
    assert add(client, form_id="7")[0] == 422
    assert shed.records.duties.duties() == []


def edit(client: TestClient, revision: int, **changed: str | list[str]) -> tuple[int, str]:
    answer = client.post("/setup/duties/1", data={**SWEEP, "revision": f"{revision}", **changed})
    return answer.status_code, answer.text


def test_an_edit_is_kept_and_noted_with_what_stood_before(
    shed: FilledShed, client: TestClient
) -> None:
    add(client)
    assert edit(client, 0, name="Sweep", visit=["evening"])[0] == 303
    terms = shed.records.duties.duty(1).terms
    assert (terms.name, terms.visits) == ("Sweep", (Visit.EVENING,))
    newest = shed.records.changes.changes()[0]
    assert "Sweep the floor" in (newest.before or "")
    assert "in the evening" in (newest.after or "")


def test_saving_a_duty_as_it_is_changes_nothing(shed: FilledShed, client: TestClient) -> None:
    add(client)
    for _ in range(2):
        assert edit(client, 0)[0] == 303
    assert shed.records.duties.duty(1).revision == 0


def test_of_two_who_edit_at_once_the_later_is_told_and_loses_nothing(
    shed: FilledShed, client: TestClient
) -> None:
    add(client)
    edit(client, 0, name="By Ann")
    status, page = edit(client, 0, name="By Bob")
    assert status == 422
    assert "Somebody else changed this duty meanwhile" in page
    assert 'value="By Bob"' in page
    revision = re.search(r'name="revision" value="(\d+)"', page)
    assert revision is not None
    assert edit(client, int(revision[1]), name="By Bob")[0] == 303
    assert shed.records.duties.duty(1).name == "By Bob"


def test_a_double_tap_on_save_is_one_edit_and_no_quarrel(
    shed: FilledShed, client: TestClient
) -> None:
    add(client)
    assert [edit(client, 0, name="Sweep")[0] for _ in range(2)] == [303, 303]
    assert shed.records.duties.duty(1).revision == 1


def test_taking_a_duty_away_asks_once_and_a_second_tap_is_no_error(
    shed: FilledShed, client: TestClient
) -> None:
    add(client)
    assert "tick that you mean it" in client.post("/setup/duties/1/away", data={}).text
    for _ in range(2):
        assert client.post("/setup/duties/1/away", data={"sure": "yes"}).status_code == 303
    assert shed.records.duties.duties() == []
    assert client.get("/setup/duties/1").status_code == 404


def test_visits_of_a_day_are_kept_or_refused_in_words(shed: FilledShed, client: TestClient) -> None:
    three = {"morning": "05:30", "midday": "11:00", "evening": "16:00"}
    assert client.post("/setup/duties/times", data=three).status_code == 303
    told = VisitTimes(morning=time(5, 30), midday=time(11), evening=time(16))
    assert shed.records.duties.visit_times() == told
    for wrong, sentence in (
        (three | {"evening": ""}, "The evening: nothing is not allowed"),
        (three | {"evening": "12:00"}, "at least two hours between"),
        (three | {"midday": "noon"}, "noon is no time"),
    ):
        answer = client.post("/setup/duties/times", data=wrong)
        assert (answer.status_code, sentence in answer.text) == (422, True)
    assert shed.records.duties.visit_times() == told


def test_a_duty_for_places_that_are_not_there_says_that_it_is_never_due(
    client: TestClient,
) -> None:
    add(client, where="every flight")
    assert "no such place now, so it is never due" in client.get("/setup/duties").text


def test_a_helper_reads_the_duties_and_may_change_none(shed: FilledShed) -> None:
    _, jo = people_of(shed)
    helper = sign_in(browser(shed), shed, jo)
    assert "Duties" in helper.get("/setup/duties").text
    assert "All of these" not in helper.get("/setup/duties").text
    assert helper.get("/setup/duties/new").status_code == 403
    answer = helper.post("/setup/duties", data={"template": "all", "form_id": str(uuid4())})
    assert answer.status_code == 403
    assert jo.role is Role.HELPER


def test_what_runs_low_is_added_and_struck_with_one_tap_each(
    shed: FilledShed, client: TestClient
) -> None:
    assert client.post("/today/low", data={"what": "Grit"}).status_code == 303
    [grit] = shed.records.running_low.open()
    page = client.get("/today/low").text
    assert f'action="/today/low/{grit.id}/strike"' in page
    answer = client.post(f"/today/low/{grit.id}/strike", data={})
    assert answer.headers["location"] == f"/today/low?struck={grit.id}"
    struck = client.get(answer.headers["location"]).text
    assert "Put it back" in struck
    client.post(f"/today/low/{grit.id}/back", data={})
    assert [one.what for one in shed.records.running_low.open()] == ["Grit"]


def test_a_helper_may_say_what_runs_low(shed: FilledShed) -> None:
    _, jo = people_of(shed)
    helper = sign_in(browser(shed), shed, jo)
    assert helper.post("/today/low", data={"what": "Seed"}).status_code == 303
    [seed] = shed.records.running_low.open()
    assert seed.added_by == jo.name
    assert helper.post(f"/today/low/{seed.id}/strike", data={}).status_code == 303


def test_nothing_to_add_is_refused_in_a_sentence(client: TestClient) -> None:
    answer = client.post("/today/low", data={"what": "  "})
    assert answer.status_code == 422
    assert "What runs low? Say it in a word or two." in answer.text


def test_what_is_typed_on_a_page_is_text_and_never_a_tag(client: TestClient) -> None:
    client.post("/today/low", data={"what": "<b>seed</b>"})
    add(client, name="<i>sweep</i>")
    assert "<b>seed" not in client.get("/today/low").text
    assert "<i>sweep" not in client.get("/setup/duties").text
