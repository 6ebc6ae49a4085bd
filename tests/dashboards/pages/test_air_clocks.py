"""The page of the clocks: told in one tap, and taken back."""

from dataclasses import replace
from datetime import timedelta
from uuid import uuid4

import pytest

from dashboards.views.clocks_view import clocks_view
from service.answers.clocks import ClocksTold, MiteClock, MouldClock
from service.climate.mites import Generations
from service.climate.mould import MouldIndex
from service.nests.place import Place, PlaceKind
from service.nests.treatment import Against, Treatment
from tests.dashboards.conftest import TestClient
from tests.dashboards.filled_shed import NOW, ZONE, FilledShed

SHED = Place(id="shed", kind=PlaceKind.SHED, name="Hazel shed")


def mites(most: float, *, coverage: float = 1.0, days: float = 10) -> MiteClock:
    grown = Generations(least=most * 0.8, most=most, coverage=coverage)
    return MiteClock(
        place=SHED,
        since=NOW - timedelta(days=days),
        treatment=None,
        measured_at="shed",
        grown=grown,
    )


def leads(mite: MiteClock, mould: MouldIndex | None = None, why: str = "") -> tuple[str, str]:
    on_pane = MouldClock(
        place=SHED, since=NOW, treatment=None, reckoned=True, grown=mould, why_not=why
    )
    told = ClocksTold(mites=(mite,), mould=(on_pane,))
    view = clocks_view(told, (), {"shed": "Hazel shed"}, NOW, ZONE)
    return view.mites[0].lead, view.mould[0].lead


@pytest.mark.parametrize(
    ("clock", "says"),
    [
        (mites(1.2), "Look for mites: there was warmth enough"),
        (mites(0.5), "in about 10 days"),
        (mites(0.9), "in about 1 day,"),
        (mites(0.1), "within months"),
        (mites(0.0), "Those that are there wait"),
        (mites(0.5, coverage=0.4), "Too little was measured"),
    ],
)
def test_mites_are_looked_for_when_a_generation_may_have_grown(clock: MiteClock, says: str) -> None:
    assert says in leads(clock)[0]


def test_an_unknown_clock_asks_for_a_look_and_never_says_that_all_is_well() -> None:
    unknown = MiteClock(
        place=SHED, since=NOW - timedelta(days=9), treatment=None, measured_at=None, grown=None
    )
    of_mites, of_mould = leads(unknown, why="No sensor tells how damp the shed is.")
    assert "Cannot tell" in of_mites
    assert "Look for mites" in of_mites
    assert of_mould == "Cannot tell. No sensor tells how damp the shed is."


def test_a_treatment_of_another_year_is_told_with_its_year() -> None:
    long_ago = Treatment(id=1, place="shed", against=Against.MITES, at=NOW - timedelta(days=500))
    clock = replace(mites(1.2, days=180), treatment=long_ago)
    view = clocks_view(
        ClocksTold(mites=(clock,), mould=()), (long_ago,), {"shed": "Hazel shed"}, NOW, ZONE
    )
    assert view.mites[0].lines[0].startswith("Last treated 7 December 2024. Half a year of it")
    assert view.treatments[0].words == "Hazel shed, against mites, 7 December 2024"


@pytest.mark.parametrize(
    ("most", "coverage", "says"),
    [(3.1, 1.0, "Look for mould"), (1.0, 1.0, "Dry it"), (0.4, 0.5, "Too little"), (0.4, 1, "not")],
)
def test_mould_is_told_by_the_most_that_may_have_grown(
    most: float, coverage: float, says: str
) -> None:
    index = MouldIndex(least=0, most=most, coverage=coverage, damp_h=5)
    assert says in leads(mites(0.2), index)[1]


def test_a_tap_begins_the_clock_anew_and_is_taken_back(
    shed: FilledShed, client: TestClient
) -> None:
    assert "Nobody told when it was treated" in client.get("/air/clocks").text
    form = {"place": "shed", "against": "mites", "form_id": str(uuid4())}
    for _ in range(2):
        sent = client.post("/air/clocks/treated", data=form, follow_redirects=False)
        assert sent.status_code == 303
    [told] = shed.records.treatments.treatments()
    assert (told.place, told.against) == ("shed", Against.MITES)
    page = client.get("/air/clocks").text
    assert "Last treated 14:30" in page
    assert "Begun anew" in page
    client.post(f"/air/clocks/treated/{told.id}/undo")
    assert "Nobody told when it was treated" in client.get("/air/clocks").text
    client.post(f"/air/clocks/treated/{told.id}/back")
    assert "Last treated 14:30" in client.get("/air/clocks").text


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({"place": "moon"}, "moon is no place of the shed"),
        ({"against": "noise"}, "Say what was done"),
        ({"at": "2030-01-01T10:00"}, "is still to come"),
        ({"at": "soon"}, "is no day and time"),
        ({"at": "0026-04-21T10:00"}, "is more than three years ago"),
        ({"words": "x" * 81}, "81 letters are too many"),
    ],
)
def test_what_cannot_be_is_told_in_a_sentence_and_nothing_is_kept(
    shed: FilledShed, client: TestClient, told: dict[str, str], says: str
) -> None:
    form = {"place": "shed", "against": "mites", "form_id": str(uuid4())} | told
    answer = client.post("/air/clocks/treated", data=form)
    assert answer.status_code == 422
    assert says in answer.text
    assert not shed.records.treatments.treatments()


def test_the_water_of_eggs_stands_on_the_page_of_a_box_with_its_own_sensor_alone(
    client: TestClient,
) -> None:
    # Three hours of two days were measured: a row, and no number.
    assert "<td>1</td><td>cannot tell</td>" in client.get("/nests/box-2").text
    assert "Water that the eggs lost" not in client.get("/nests/box-1").text
