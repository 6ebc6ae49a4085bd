"""The time it takes, the list for a helper and the two taps, asked as a browser of the house."""

import json
import re
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from uuid import uuid4

import pytest

from service.clock import FixedClock
from service.nests.duty import DutySlot, Visit
from service.nests.duty_templates import TEMPLATES, terms_of
from service.nests.visits import visit_at
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import NOW, ZONE, FilledShed, open_filled_shed, open_shed
from tests.dashboards.house import browser, people_of, sign_in

TODAY = date(2026, 4, 21)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[FilledShed]:
    """Two pairs in four cages, and the duties to begin with, set up twenty days ago."""
    filled = open_filled_shed(tmp_path, clock=FixedClock(NOW))
    early = NOW - timedelta(days=20)
    filled.records.duties.add(
        [terms_of(one, now=early, today=early.date()) for one in TEMPLATES],
        by="Mara",
        form_id=uuid4(),
    )
    yield filled
    filled.close()


def timed_visits(shed: FilledShed, number: int, *, slower: float = 1.5) -> None:
    """Morning visits of the last days, in each seed for four cages, so much slower than typical."""
    (seed,) = [one for one in shed.records.duties.duties() if one.name == "Seed"]
    for back in range(1, number + 1):
        day = TODAY - timedelta(days=back)
        at = datetime(day.year, day.month, day.day, 6, tzinfo=UTC)
        visit = shed.records.visit_times.begin(
            day, Visit.MORNING, at=at, by="Mara", form_id=uuid4()
        )
        slots = {
            DutySlot(duty_id=seed.id, place=f"cage-{n}", day=day, visit=Visit.MORNING): "Seed"
            for n in range(1, 5)
        }
        shed.records.duties.mark_done(
            slots, at=at + timedelta(minutes=1), by="Mara", form_id=uuid4()
        )
        end = at + timedelta(minutes=slower * seed.minutes * 4)
        shed.records.visit_times.end(visit.id, at=end, by="Mara")


class TestTheTimeItTakes:
    def test_it_says_that_the_minutes_are_typical_ones_where_nothing_was_timed(
        self, client: TestClient
    ) -> None:
        told = client.get("/today/workload").text
        assert "typical minutes, invented by us" in told
        assert "No visit was timed yet" in told

    def test_few_visits_are_said_to_be_too_few(self, shed: FilledShed, client: TestClient) -> None:
        timed_visits(shed, 4)
        told = client.get("/today/workload").text
        assert "4 timed visits are too few to go by" in told

    def test_own_times_stretch_the_minutes_and_are_counted(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        before = client.get("/api/workload").json()
        timed_visits(shed, 12)
        after = client.get("/api/workload").json()
        assert after[0]["minutes"] == pytest.approx(1.5 * before[0]["minutes"], abs=0.1)
        told = client.get("/today/workload").text
        assert "your own times, from 12 visits" in told
        assert "What typically takes 10 min took you 15" in told

    def test_what_if_is_told_beside_what_is(self, client: TestClient) -> None:
        told = client.get("/today/workload?cages=4&again=yes&put_up=2026-04-21&weeks=0").text
        assert "With 2 more pairs, so 4 cages to look after, every pair going on" in told
        assert re.search(r"About [^.]* a day instead of [^.]*: [^.]* more\.", told)

    def test_fewer_cages_are_named(self, client: TestClient) -> None:
        told = client.get("/today/workload?cages=1").text
        assert "Without Cage 2, and whoever lives there:" in told
        assert " less." in told

    def test_the_same_cages_and_no_if_ask_for_nothing(self, client: TestClient) -> None:
        told = client.get("/today/workload?cages=2&weeks=0&put_up=2026-04-21").text
        assert "Dashed: what if" not in told

    @pytest.mark.parametrize(
        ("asked", "sentence"),
        [
            ("cages=-3", "Cages: &#39;-3&#39; must be a whole number from 0 to 200."),
            ("cages=99999999999", "must be a whole number from 0 to 200."),
            ("cages=%C2%B2", "must be a whole number from 0 to 200."),
            ("weeks=9", "Weeks later: &#39;9&#39; must be a whole number from 0 to 8."),
            ("put_up=soon", "Put up on: &#39;soon&#39; is no day; write it as 2026-04-21."),
            ("put_up=2020-01-01", "must lie from today on, within a year."),
        ],
    )
    def test_what_can_not_be_asked_is_said_in_a_sentence_and_stays_typed(
        self, client: TestClient, asked: str, sentence: str
    ) -> None:
        answer = client.get(f"/today/workload?{asked}")
        assert answer.status_code == 200
        assert sentence in answer.text

    def test_empty_shed_without_duties_is_said_to_have_none(self, tmp_path: Path) -> None:
        bare = open_shed(tmp_path, boxes=0, clock=FixedClock(NOW))
        told = client_of(bare).get("/today/workload").text
        bare.close()
        assert "No duties are set up" in told
        assert "Nothing is to be done in the next eight weeks" in told


class TestForScripts:
    def test_each_day_has_the_keys_of_the_contract(self, client: TestClient) -> None:
        told = client.get("/api/workload").json()
        assert len(told) == 56
        assert told[0]["date"] == "2026-04-21"
        for one in told:
            assert {"date", "minutes", "parts"} <= set(one)
            assert sum(one["parts"].values()) == pytest.approx(one["minutes"], abs=0.5)
            assert one["low"] <= one["minutes"] + 0.1
            assert one["minutes"] <= one["high"] + 0.1
        assert sum(one["peak"] for one in told) == 3
        json.dumps(told)


class TestTheList:
    def test_water_says_the_day_of_its_rota(self, client: TestClient) -> None:
        # Two days plain, two with supplement (common practice, no source), from 1 April on: the
        # 21st is the first of two plain days.
        told = client.get("/today/helper").text
        days = re.findall(r"<strong>(Water: [^<]+)</strong>", told)
        assert days == [
            "Water: plain water",
            "Water: plain water",
            "Water: with supplement",
            "Water: with supplement",
            "Water: plain water",
            "Water: plain water",
            "Water: with supplement",
        ]

    def test_boxes_say_what_may_be_seen(self, client: TestClient) -> None:
        told = client.get("/today/helper?days=14").text
        assert "Box 2: egg 2 may be laid" in told
        assert re.search(r"Box 1: .*may hatch", told)

    def test_cautions_and_what_runs_low_are_on_it(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        shed.records.running_low.add("Oyster grit", at=NOW, by="Mara")
        told = client.get("/today/helper").text
        assert "only as the label or your vet says" in told
        assert "Oyster grit" in told

    @pytest.mark.parametrize(
        ("asked", "days"), [("3", 3), ("14", 14), ("0", 7), ("15", 7), ("x", 7), ("-1", 7)]
    )
    def test_it_has_as_many_days_as_are_asked_for(
        self, client: TestClient, asked: str, days: int
    ) -> None:
        told = client.get(f"/today/helper?days={asked}").text
        assert told.count('<section class="day">') == days

    def test_helper_may_print_it_and_not_see_the_keepers_hours(self, shed: FilledShed) -> None:
        _, jo = people_of(shed)
        helper = sign_in(browser(shed), shed, jo)
        assert helper.get("/today/helper").status_code == 200
        assert helper.get("/today/workload").status_code == 403


class TestTheTwoTaps:
    def test_visit_is_begun_and_ended_from_todays_list(
        self, shed: FilledShed, client: TestClient
    ) -> None:
        assert "Begin the morning visit" in client.get("/today").text
        begun = client.post("/today/visit/begin", data={"form_id": str(uuid4())})
        assert (begun.status_code, begun.headers["location"]) == (303, "/today")
        told = client.get("/today").text
        assert "End the morning visit" in told
        (visit,) = shed.records.visit_times.visits(TODAY)
        ended = client.post("/today/visit/end", data={"visit": str(visit.id)})
        assert ended.status_code == 303
        (visit,) = shed.records.visit_times.visits(TODAY)
        assert visit.ended_at == NOW
        assert visit.visit is visit_at(NOW, ZONE, shed.records.duties.visit_times()).visit

    def test_double_tap_begins_once(self, shed: FilledShed, client: TestClient) -> None:
        form = {"form_id": str(uuid4())}
        for _ in range(2):
            assert client.post("/today/visit/begin", data=form).status_code == 303
        assert len(shed.records.visit_times.visits(TODAY)) == 1

    def test_helper_may_begin_and_end(self, shed: FilledShed) -> None:
        _, jo = people_of(shed)
        helper = sign_in(browser(shed), shed, jo)
        helper.post("/today/visit/begin", data={"form_id": str(uuid4())})
        (visit,) = shed.records.visit_times.visits(TODAY)
        assert visit.began_by == "Jo"

    @pytest.mark.parametrize(
        ("path", "data"),
        [
            ("/today/visit/begin", {"form_id": "nonsense"}),
            ("/today/visit/begin", {}),
            ("/today/visit/end", {"visit": "x"}),
            ("/today/visit/end", {}),
        ],
    )
    def test_form_that_says_nothing_is_refused_in_a_sentence(
        self, client: TestClient, path: str, data: dict[str, str]
    ) -> None:
        answer = client.post(path, data=data)
        assert answer.status_code == 422
        assert "open today" in answer.text

    def test_visit_that_nobody_began_is_not_known(self, client: TestClient) -> None:
        assert client.post("/today/visit/end", data={"visit": "77"}).status_code == 404
