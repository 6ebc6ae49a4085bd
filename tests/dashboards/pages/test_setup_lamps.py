"""The programme of light, the coldest surface and the heater, set over real stores."""

import re
from collections.abc import Iterator
from datetime import date, time
from pathlib import Path

import pytest

from service.climate.cold_surface import ColdSurface
from service.settings import edits
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import NOW
from tests.dashboards.kept_shed import KeptShed, open_kept_shed

MAKER = {
    "first": "2027-01-01",
    "from_h": "9",
    "to_h": "10,5",
    "by_min": "30",
    "every_days": "7",
    "moves": "morning",
}


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[KeptShed]:
    opened = open_kept_shed(tmp_path)
    opened.services().editor.change(edits.lamps(on="08:00", off="17:00"), by=None, at=NOW)
    yield opened
    opened.close()


@pytest.fixture
def client(shed: KeptShed) -> TestClient:
    return client_of(shed)


def steps(shed: KeptShed) -> list[tuple[date, time, time]]:
    found = shed.settings().light.steps
    return [(one.since, one.schedule.on, one.schedule.off) for one in found]


def hidden(page: str, name: str) -> str:
    """What the last hidden field of that name holds: that of the form of the lamps comes first."""
    return str(re.findall(rf'name="{name}" value="([^"]*)"', page)[-1])


def test_many_steps_are_shown_before_they_are_kept(shed: KeptShed, client: TestClient) -> None:
    looked = client.post("/setup/lamps/steps/make", data=MAKER).text
    assert steps(shed) == []
    assert "10 h 30 min" in looked
    mark = {name: hidden(looked, name) for name in ("shown", "as_shown")}
    kept = client.post("/setup/lamps/steps/make", data={**MAKER, **mark})
    assert kept.headers["location"] == "/setup/lamps"
    assert steps(shed) == [
        (date(2027, 1, 1), time(8), time(17)),
        (date(2027, 1, 8), time(7, 30), time(17)),
        (date(2027, 1, 15), time(7), time(17)),
        (date(2027, 1, 22), time(6, 30), time(17)),
    ]


def test_what_was_changed_after_it_was_shown_is_shown_again(
    shed: KeptShed, client: TestClient
) -> None:
    looked = client.post("/setup/lamps/steps/make", data=MAKER).text
    shown = hidden(looked, "shown")
    again = client.post("/setup/lamps/steps/make", data={**MAKER, "to_h": "12", "shown": shown})
    assert (again.status_code, steps(shed)) == (200, [])
    assert "Keep these steps" in again.text


def test_a_step_is_added_changed_and_taken_away(shed: KeptShed, client: TestClient) -> None:
    first = {"since-0": "2027-01-01", "on-0": "07:30", "off-0": "17:00"}
    client.post("/setup/lamps/steps", data=first)
    page = client.get("/setup/lamps").text
    assert "1 January 2027" in page
    more = {**first, "off-0": "17:30", "since-1": "2027-02-01", "on-1": "07:00", "off-1": "18:00"}
    client.post("/setup/lamps/steps", data={**more, "as_shown": hidden(page, "as_shown")})
    assert steps(shed) == [
        (date(2027, 1, 1), time(7, 30), time(17, 30)),
        (date(2027, 2, 1), time(7), time(18)),
    ]
    client.post("/setup/lamps/steps", data={**more, "gone-0": "yes"})
    assert [since for since, _, _ in steps(shed)] == [date(2027, 2, 1)]
    client.post("/setup/lamps/steps/clear", data={})
    assert steps(shed) == []


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"since-0": "2027-02-30", "on-0": "07:00", "off-0": "18:00"}, "2027-02-30"),
        ({"since-0": "2027-02-01", "on-0": "", "off-0": "18:00"}, "1 February 2027: on at nothing"),
        ({"since-0": "2027-02-01", "on-0": "18:00", "off-0": "18:00"}, "another time than on"),
    ],
    ids=["no date", "no time", "no light"],
)
def test_a_step_that_can_t_be_is_refused_in_words_and_stays_typed(
    shed: KeptShed, client: TestClient, sent: dict[str, str], said: str
) -> None:
    answer = client.post("/setup/lamps/steps", data=sent)
    assert answer.status_code == 422
    assert said in answer.text
    assert f'value="{sent["off-0"]}"' in answer.text
    assert steps(shed) == []


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"from_h": "25"}, "From 25 h of light"),
        ({"to_h": "9"}, "another length"),
        ({"by_min": "0"}, "whole minutes from 1 to 240"),
        ({"every_days": "often"}, "whole days from 1 to 90"),
        ({"moves": ""}, "which end of the day"),
        ({"by_min": "1", "to_h": "20"}, "at most 200"),
    ],
)
def test_a_programme_that_can_t_be_is_refused_in_words(
    client: TestClient, typed: dict[str, str], said: str
) -> None:
    answer = client.post("/setup/lamps/steps/make", data={**MAKER, **typed})
    assert answer.status_code == 422
    assert said in answer.text


def test_steps_that_somebody_else_has_changed_meanwhile_are_not_overwritten(
    shed: KeptShed, client: TestClient
) -> None:
    mark = hidden(client.get("/setup/lamps").text, "as_shown")
    shed.services().editor.change(
        edits.lamp_steps({date(2027, 3, 1): (time(6), time(20))}), by="Ida", at=NOW
    )
    answer = client.post("/setup/lamps/steps/clear", data={"as_shown": mark})
    assert answer.status_code == 422
    assert "Somebody else has changed this" in answer.text
    assert len(steps(shed)) == 1


def test_a_shed_that_has_no_lamps_any_more_has_no_programme(
    shed: KeptShed, client: TestClient
) -> None:
    client.post(
        "/setup/lamps/steps", data={"since-0": "2027-02-01", "on-0": "07:00", "off-0": "18:00"}
    )
    client.post("/setup/lamps", data={"has": "no"})
    assert (shed.settings().light.schedule, steps(shed)) == (None, [])


@pytest.mark.parametrize(
    ("sent", "surface"),
    [
        ({"which": "glass"}, ColdSurface(temperature_factor=0.25)),
        (
            # (4 - 0) / (10 - 0), the temperature factor as ISO 13788 defines it.
            {"which": "measured", "inside_c": "10", "outdoors_c": "0", "surface_c": "4,0"},
            ColdSurface(temperature_factor=0.4),
        ),
        ({"which": "factor", "factor": "0.33"}, ColdSurface(temperature_factor=0.33)),
        ({"which": "below", "below_k": "4"}, ColdSurface(below_air_k=4.0)),
        ({"which": "unknown"}, None),
    ],
)
def test_the_coldest_surface_is_told_in_plain_words(
    shed: KeptShed, client: TestClient, sent: dict[str, str], surface: ColdSurface | None
) -> None:
    assert client.post("/setup/air/surface", data=sent).headers["location"] == "/setup"
    assert shed.settings().surface == surface


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"which": ""}, "choose one"),
        ({"which": "factor", "factor": "1.1"}, "from 0 to 1"),
        ({"which": "below", "below_k": "-3"}, "from 0.1 to 40"),
        (
            {"which": "measured", "inside_c": "10", "outdoors_c": "8", "surface_c": "9"},
            "too near",
        ),
        (
            {"which": "measured", "inside_c": "10", "outdoors_c": "0", "surface_c": "11"},
            "between outdoors and the air inside",
        ),
        ({"which": "measured", "inside_c": "warm", "outdoors_c": "0", "surface_c": "1"}, "warm"),
    ],
)
def test_a_surface_that_can_t_be_is_refused_in_words(
    shed: KeptShed, client: TestClient, sent: dict[str, str], said: str
) -> None:
    answer = client.post("/setup/air/surface", data=sent)
    assert answer.status_code == 422
    assert said in answer.text
    assert shed.settings().surface is None


def test_a_heater_is_told_with_its_thermostat_and_the_usual_cautions(
    shed: KeptShed, client: TestClient
) -> None:
    page = client.get("/setup/air").text
    assert "carbon monoxide" in page
    assert "never its thermostat" in page
    client.post("/setup/air/heater", data={"has": "yes", "thermostat_c": "5"})
    assert shed.settings().heater_c == 5.0
    refused = client.post("/setup/air/heater", data={"has": "yes", "thermostat_c": "hot"})
    assert refused.status_code == 422
    client.post("/setup/air/heater", data={"has": "no"})
    assert shed.settings().heater_c is None


def test_what_the_file_states_is_shown_and_not_asked(tmp_path: Path) -> None:
    stated: dict[str, object] = {
        "light": {"on": "08:00", "off": "17:00"},
        "light_step": [{"from": date(2027, 1, 1), "on": "07:00", "off": "17:00"}],
        "surface": {"below_air_c": 4.0},
        "heater": {"thermostat_c": 5.0},
    }
    shed = open_kept_shed(tmp_path, stated)
    client = client_of(shed)
    lamps, air = client.get("/setup/lamps").text, client.get("/setup/air").text
    shed.close()
    assert lamps.count("set in the file, and changed there") == 2
    assert 'value="2027-01-01"' not in lamps
    assert "/setup/air/surface" not in air
    assert "/setup/air/heater" not in air
