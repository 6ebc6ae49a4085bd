"""The page of the air, asked as a browser of the house."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from dashboards.views.tonight_words import not_said_sentence
from service.clock import FixedClock
from service.quality.flag import Flag
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import NOW, FilledShed, open_shed

LATER = NOW + timedelta(minutes=5)


@pytest.fixture(scope="module")
def shed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FilledShed]:
    """Three days of air and light, a reading every five minutes."""
    filled = open_shed(tmp_path_factory.mktemp("air"), boxes=1, clock=FixedClock(NOW))
    filled.settings = replace(
        filled.settings,
        sensors=tuple(
            replace(one, interval=timedelta(minutes=5), overdue_after=timedelta(minutes=11))
            for one in filled.settings.sensors[:1]
        ),
    )
    filled.fill_air(hours=72, every=timedelta(minutes=5))
    filled.clock = FixedClock(LATER)
    filled.fill_air(hours=1, every=timedelta(hours=2))  # one reading of now, which comes last
    yield filled
    filled.close()


@pytest.fixture
def client(shed: FilledShed) -> TestClient:
    return client_of(shed)


def test_it_tells_the_night_the_light_and_what_it_cannot_tell(client: TestClient) -> None:
    words = client.get("/air").text
    assert "Now 18.0°, 54 % damp, 4° to spare to dry; heard 0 s ago, at 14:35." in words
    # A sine with its low of 10.00° at three; rounded to hundredths it is there a little sooner.
    assert re.search(r"The night of 20 April: 10\.0° at the lowest, at 02:[45]\d\.", words)
    assert "On 20 April it was light for 13 h 55 min" in words
    assert "No thermometer stands outdoors" in words
    assert not_said_sentence(None) in words


def test_a_silent_thermometer_is_told_with_when_it_was_heard_last(shed: FilledShed) -> None:
    silent = replace(shed, clock=FixedClock(LATER + timedelta(minutes=40)))
    words = client_of(silent).get("/air").text
    assert "The air of now is not known: last heard 14:35." in words


@pytest.mark.parametrize("stretch", ["week", "season", "year"])
def test_each_stretch_has_its_picture_for_desk_and_phone(client: TestClient, stretch: str) -> None:
    answer = client.get(f"/air?stretch={stretch}")
    assert answer.status_code == 200
    pictures = answer.text[answer.text.index('id="stretch"') :]
    assert 'viewBox="0 0 1190' in pictures
    assert 'viewBox="0 0 358' in pictures


def test_a_stretch_that_is_none_of_ours_is_refused_in_a_sentence(client: TestClient) -> None:
    answer = client.get("/air?stretch=decade", headers={"accept": "text/html"})
    assert answer.status_code == 422
    assert "There is no such page" in answer.text


def test_the_chart_of_a_week_breaks_where_nothing_was_measured(client: TestClient) -> None:
    figure = client.get("/api/air/chart?stretch=week").json()
    line = figure["data"][0]
    assert line["mode"] == "lines"
    assert len(line["x"]) > 400
    assert None not in line["y"]


def test_a_season_begins_with_its_first_day_and_bears_its_name(
    shed: FilledShed, client: TestClient
) -> None:
    shed.records.seasons.open("Spring 2026", date(2026, 4, 20))
    words = client.get("/air?stretch=season").text
    assert "Season Spring 2026</h2>" in words
    assert "20 April" in words[words.index('id="stretch"') :]


def test_the_keepers_word_on_the_pane_is_kept_and_the_last_one_holds(
    shed: FilledShed, client: TestClient
) -> None:
    assert "Was the coldest surface wet after the night of 20 April?" in client.get("/air").text
    for wet in ("wet", "dry"):
        sent = client.post("/air/looked", data={"evening": "2026-04-20", "wet": wet})
        assert sent.status_code == 303
    assert shed.records.outlook.looks() == {date(2026, 4, 20): False}
    assert "the coldest surface was <strong>dry</strong>" in client.get("/air").text


@pytest.mark.parametrize(
    ("evening", "wet", "words"),
    [
        ("2026-04-20", "damp", "wet or dry"),
        ("2026-04-22", "wet", "The night of 22 April"),
        ("2026-03-20", "wet", "only those of the last 7 days"),
        ("last night", "wet", "is no evening"),
        ("", "", "is no evening"),
    ],
)
def test_a_word_on_the_pane_that_makes_no_sense_is_refused_in_a_sentence(
    client: TestClient, evening: str, wet: str, words: str
) -> None:
    sent = client.post("/air/looked", data={"evening": evening, "wet": wet})
    assert sent.status_code == 422
    assert words in sent.text


class TestAShedThatTellsLittle:
    @pytest.fixture
    def bare(self, tmp_path: Path) -> Iterator[FilledShed]:
        filled = open_shed(tmp_path, boxes=1)
        yield filled
        filled.close()

    def test_an_empty_shed_says_what_is_missing_and_draws_nothing(self, bare: FilledShed) -> None:
        for stretch in ("week", "season", "year"):
            answer = client_of(bare).get(f"/air?stretch={stretch}")
            assert answer.status_code == 200
            assert "No thermometer stands in the shed" in answer.text
            assert "No light sensor stands in the shed" in answer.text
            assert "<svg" not in answer.text

    def test_an_empty_shed_has_no_chart(self, bare: FilledShed) -> None:
        assert client_of(bare).get("/api/air/chart").status_code == 404

    def test_readings_that_failed_are_nobodys_night(self, bare: FilledShed) -> None:
        bare.fill_air(hours=20, flag=Flag.FAIL, every=timedelta(minutes=10))
        words = client_of(bare).get("/air").text
        assert "not below" not in words
        assert "Nothing was measured in these seven days." in words
