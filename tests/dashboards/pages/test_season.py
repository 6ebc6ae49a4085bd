"""The pages of a season, asked as a browser of the house does."""

import csv
from collections.abc import Iterator
from io import StringIO
from pathlib import Path

import pytest
from sqlalchemy import text

from service.nests.nest import Clutch
from tests.dashboards.conftest import TestClient
from tests.dashboards.filled_shed import FilledShed, open_filled_shed

TODAY = "2026-04-21"


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[FilledShed]:
    """Nests alone: the air has no part in these pages."""
    filled = open_filled_shed(tmp_path)
    yield filled
    filled.close()


def opened(shed: FilledShed, client: TestClient, day: str = "2026-01-01") -> int:
    answer = client.post("/season/open", data={"name": "2026", "day": day})
    assert answer.status_code == 303, answer.text
    return shed.records.seasons.seasons()[-1].id


def emptied(shed: FilledShed) -> None:
    """Every egg of the filled shed turns out clear and missing, so that nothing lives."""
    for nest in shed.records.nest_book.nests():
        if nest.clutch is not None:
            _end(shed, nest.clutch)


def _end(shed: FilledShed, clutch: Clutch) -> None:
    shed.records.transactions.write(
        lambda connection: connection.execute(
            text("UPDATE eggs SET fate = 'clear', fate_to = laid_to WHERE clutch_id = :clutch"),
            {"clutch": clutch.id},
        )
    )


class TestReading:
    def test_a_book_without_a_season_shows_its_pairs(self, client: TestClient) -> None:
        told = client.get("/season").text
        assert "Before any season" in told
        assert "2 of 2 pairs laid 6 eggs in 2 clutches: 0 hatched, and 0 left the box." in told

    def test_a_season_shows_the_pairs_that_were_put_up_in_it(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        opened(shed, client)
        told = client.get("/season").text
        assert "Season 2026" in told
        assert "It began on 1 January 2026 and goes on" in told
        assert "6 eggs still lie." in told

    def test_a_season_nobody_knows_is_not_known(self, client: TestClient) -> None:
        assert client.get("/season?season=99").status_code == 404

    def test_a_season_without_a_pair_says_so(self, shed: FilledShed, client: TestClient) -> None:
        opened(shed, client, day=TODAY)
        assert "No pair bred in it." in client.get("/season").text

    def test_the_table_is_a_csv_file_with_a_line_for_each_pair(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        season = opened(shed, client)
        answer = client.get(f"/season/table.csv?season={season}")
        assert answer.headers["content-type"] == "text/csv; charset=utf-8; header=present"
        rows = list(csv.DictReader(StringIO(answer.text, newline="")))
        assert [(row["pair"], row["eggs"]) for row in rows] == [
            ("1", "5"),
            ("2", "1"),
            ("all", "6"),
        ]
        assert (rows[2]["hatched_of_known"], rows[2]["hatched_share"]) == ("0", "")
        assert rows[2]["eggs_lying"] == "6"

    def test_a_ring_like_a_formula_is_harmless_in_the_table(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        shed.put_up_pair(3, ring="=1+")
        answer = client.get("/season/table.csv")
        cells = [cell for row in csv.reader(StringIO(answer.text, newline="")) for cell in row]
        assert any("=1+" in cell for cell in cells)
        assert not any(cell.startswith(("=", "+", "-", "@")) for cell in cells)


class TestOpening:
    @pytest.mark.parametrize(
        ("name", "day", "why"),
        [
            ("", TODAY, "a name is needed"),
            ("x" * 61, TODAY, "61 signs are too many"),
            ("2026", "2026-04-22", "2026-04-22 is still to come"),
            ("2026", "soon", "&#39;soon&#39; is no day"),
        ],
    )
    def test_what_cannot_be_is_refused_in_words(
        self, shed: FilledShed, client: TestClient, name: str, day: str, why: str
    ) -> None:
        answer = client.post("/season/open", data={"name": name, "day": day})
        assert answer.status_code == 422
        assert why in answer.text
        assert shed.records.seasons.seasons() == []

    def test_what_was_opened_by_mistake_is_taken_back(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        season = opened(shed, client, day=TODAY)
        assert client.post("/season/take-back", data={"season": season}).status_code == 303
        assert shed.records.seasons.seasons() == []

    def test_opening_is_noted_among_the_changes(self, shed: FilledShed, client: TestClient) -> None:
        opened(shed, client)
        assert shed.records.changes.changes()[0].what == (
            "Season 2026 was opened from 2026-01-01 on"
        )


class TestClosing:
    def test_a_season_with_life_in_a_box_does_not_close(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        season = opened(shed, client)
        answer = client.post("/season/close", data={"season": season, "sure": "yes"})
        assert answer.status_code == 422
        assert "Box 1: 5 eggs in the book without a fate" in answer.text
        assert shed.records.seasons.seasons()[0].closed_on is None

    def test_it_is_asked_before_it_closes(self, shed: FilledShed, client: TestClient) -> None:
        season = opened(shed, client)
        emptied(shed)
        answer = client.post("/season/close", data={"season": season})
        assert answer.status_code == 422
        assert "Say below that you have looked." in answer.text
        assert "2 pairs are still together" in answer.text
        assert shed.records.seasons.seasons()[0].closed_on is None

    def test_a_closed_season_has_a_list_of_what_to_clean(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        season = closed(shed, client)
        told = client.get("/season/clean-down").text
        assert "damp it before you sweep" in told
        assert "0 of 29 things are done." in told  # 4 cages, 4 boxes and a shed
        assert len(shed.records.seasons.clean_down(season)) == 29

    def test_closing_can_be_taken_back(self, shed: FilledShed, client: TestClient) -> None:
        season = closed(shed, client)
        assert "The birds rest" in client.get("/season").text
        assert client.post("/season/reopen", data={"season": season}).status_code == 303
        assert shed.records.seasons.seasons()[0].closed_on is None
        assert "The birds rest" not in client.get("/season").text


def closed(shed: FilledShed, client: TestClient) -> int:
    season = opened(shed, client)
    emptied(shed)
    answer = client.post("/season/close", data={"season": season, "sure": "yes"})
    assert answer.status_code == 303, answer.text
    return season


class TestCleaningDown:
    def test_what_is_ticked_is_done_and_can_be_undone(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        season = closed(shed, client)
        one, two = (task.id for task in shed.records.seasons.clean_down(season)[:2])
        client.post("/season/clean-down", data={"shown": [one, two], "task": [one]})
        assert done(shed, season) == {one}
        client.post("/season/clean-down", data={"shown": [one, two], "was_done": [one]})
        assert done(shed, season) == set()

    def test_what_somebody_else_ticked_meanwhile_stays(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        season = closed(shed, client)
        one, two = (task.id for task in shed.records.seasons.clean_down(season)[:2])
        client.post("/season/clean-down", data={"shown": [one, two], "task": [one]})
        client.post("/season/clean-down", data={"shown": [one, two], "task": [two]})
        assert done(shed, season) == {one, two}

    def test_numbers_that_no_row_has_are_passed_over(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        season = closed(shed, client)
        answer = client.post("/season/clean-down", data={"task": ["9" * 5000, "-1", "x", "²"]})
        assert answer.status_code == 303
        assert done(shed, season) == set()

    def test_a_box_that_is_empty_comes_off_and_on(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        client.post("/season/boxes", data={"box": ["box-3", "box-4"], "off": "yes"})
        client.post("/season/boxes", data={"box": ["box-3"], "off": "no"})
        assert [off.box for off in shed.records.seasons.boxes_off()] == ["box-4"]

    def test_a_box_with_eggs_stays_on(self, shed: FilledShed, client: TestClient) -> None:
        answer = client.post("/season/boxes", data={"box": ["box-1", "box-3"], "off": "yes"})
        assert answer.status_code == 422
        assert "Box 1: by the book somebody lives in there" in answer.text
        assert shed.records.seasons.boxes_off() == []

    def test_a_pair_with_eggs_in_its_box_is_not_parted(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        pair = next(pair for pair in shed.records.nest_book.pairs() if pair.cage == "cage-1")
        answer = client.post("/season/rest", data={"pair": pair.id, "place": "cage-4"})
        assert answer.status_code == 422
        assert "Box 1: by the book eggs or chicks need the two." in answer.text
        assert all(pair.ended_on is None for pair in shed.records.nest_book.pairs())

    def test_a_pair_is_parted_and_its_birds_rest_elsewhere(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        emptied(shed)
        pair = next(pair for pair in shed.records.nest_book.pairs() if pair.cage == "cage-2")
        answer = client.post("/season/rest", data={"pair": pair.id, "place": "cage-4"})
        assert answer.status_code == 303, answer.text
        after = next(one for one in shed.records.nest_book.pairs() if one.id == pair.id)
        assert after.ended_on is not None
        assert (after.cock.place, after.hen.place) == ("cage-4", "cage-4")

    def test_birds_rest_in_cages_and_flights_not_in_a_nest_box(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        emptied(shed)
        pair = next(pair for pair in shed.records.nest_book.pairs() if pair.cage == "cage-2")
        answer = client.post("/season/rest", data={"pair": pair.id, "place": "box-4"})
        assert answer.status_code == 404
        assert "There is no place" in answer.text
        after = next(one for one in shed.records.nest_book.pairs() if one.id == pair.id)
        assert after.ended_on is None


def done(shed: FilledShed, season: int) -> set[int]:
    return {task.id for task in shed.records.seasons.clean_down(season) if task.done_at}
