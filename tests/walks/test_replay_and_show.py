"""A recorded night, replayed and asked about by commands."""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import uuid4

import pytest

from service.intake.data_lock import DataLock
from service.nests.duty import ByCalendar, DutyTerms, DutyWhere, Missed, WhereKind
from service.nests.place import Place, PlaceKind
from service.store.sql_records import open_records
from tests.walks.command_line import (
    EVENING,
    data_folder,
    line,
    night_lines,
    recording,
    run,
    shown,
)

LAST = (EVENING + timedelta(minutes=719)).isoformat().replace("+00:00", "Z")


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with one replayed night."""
    folder = data_folder(tmp_path_factory.mktemp("replayed") / "data")
    file = recording(
        folder.parent,
        [
            *list(night_lines())[:100],
            line(EVENING + timedelta(minutes=99), "clutchweather/th-shed/senml", "{not json"),
            line(
                EVENING + timedelta(minutes=99),
                "clutchweather/th-x/senml",
                '[{"n":"th-x:temperature","u":"Cel","v":3}]',
            ),
            *list(night_lines())[100:],
        ],
    )
    done = run("replay", file, "--data", folder, "--json")
    assert done.returncode == 0, done.stderr
    (folder.parent / "counts.json").write_text(done.stdout)
    return folder


def test_replay_tells_what_came_of_it(data: Path) -> None:
    counts = json.loads((data.parent / "counts.json").read_text())
    assert counts["messages"] == 722
    assert counts["readings"] == 1440
    assert (counts["dead_letters"], counts["strangers"]) == (1, 1)
    assert counts["until"] == LAST


def test_latest_counts_ages_from_the_last_message(data: Path) -> None:
    by_quantity = {item["quantity"]: item for item in shown("latest", data)}
    temperature = by_quantity["temperature"]
    assert (temperature["value"], temperature["unit"], temperature["flag"]) == (8.0, "°C", 1)
    assert (temperature["t"], temperature["age_s"], temperature["stale"]) == (LAST, 0.0, False)


def test_readings_keep_to_the_bounds_asked_for(data: Path) -> None:
    since = (EVENING + timedelta(hours=5)).isoformat()
    until = (EVENING + timedelta(hours=6)).isoformat()
    told = shown("readings", data, "--from", since, "--to", until)
    assert len(told) == 120
    assert {item["value"] for item in told if item["quantity"] == "temperature"} == {4.0}


def test_the_night_has_its_low_its_hours_and_how_it_is_known(data: Path) -> None:
    (night,) = [item for item in shown("nights", data) if item["night"] == "2026-03-01"]
    assert night["bounds"] == "schedule"
    assert night["from"] == "2026-03-01T19:30:00Z"
    assert night["to"] == "2026-03-02T05:30:00Z"
    assert night["low_c"] == 4.0
    assert night["hours_below"]["5.0"] == pytest.approx(4.0, abs=0.02)
    assert night["rh_max_pct"] == 70.0
    assert night["condensation_min"] is None
    assert night["coverage"] == pytest.approx(0.95, abs=0.01)


def test_the_cold_was_one_alarm_and_the_silent_box_another(data: Path) -> None:
    alarms = {item["rule"]: item for item in shown("alarms", data)}
    assert set(alarms) == {"cold-night", "overdue:th-box"}
    cold = alarms["cold-night"]
    assert cold["raised_at"] == "2026-03-02T00:10:00Z"
    assert cold["cleared_at"] == "2026-03-02T04:15:00Z"
    assert cold["state"] == "returned to normal unacknowledged"
    silent = alarms["overdue:th-box"]
    assert (silent["state"], silent["value"]) == ("unacknowledged", 180.0)


def test_what_could_not_be_read_is_shown_with_its_reason(data: Path) -> None:
    (letter,) = shown("dead-letters", data)
    assert letter["topic"] == "clutchweather/th-shed/senml"
    assert letter["reason"]
    assert letter["payload_b64"] == "e25vdCBqc29u"


def test_health_without_a_watch_is_not_ok(data: Path) -> None:
    told = shown("health", data)
    assert told["ok"] is False
    assert told["parts"]["listener"] is False


def test_nests_of_an_empty_book_are_told_with_nothing_known(data: Path) -> None:
    (nest,) = shown("nests", data)
    assert nest["box"] == "box-1"
    assert nest["pair"] is None


def test_duties_are_told_as_they_are_due(tmp_path: Path) -> None:
    folder = data_folder(tmp_path / "data")
    made = datetime.now(UTC) - timedelta(days=3)
    records = open_records("sqlite:///records.db", folder)
    records.nest_book.put_places([Place(id="shed", kind=PlaceKind.SHED, name="Hazel shed")])
    seed = DutyTerms(
        name="Seed",
        where=DutyWhere(kind=WhereKind.SHED),
        schedule=ByCalendar(),
        since=made,
        missed=Missed.CARRIED,
    )
    records.duties.add([seed], by=None, form_id=uuid4())
    records.close()
    [answer] = shown("duties", folder)
    assert (answer["place"], answer["what"], answer["why"]) == ("shed", "Seed", "every day")
    assert (answer["done_at"], answer["minutes"]) == (None, 1.0)
    assert answer["missed_since"] is not None


def test_a_second_replay_of_the_same_doubles_nothing(data: Path) -> None:
    before = [shown(what, data) for what in ("readings", "alarms", "latest")]
    done = run("replay", data.parent / "feed.jsonl", "--data", data, "--json")
    assert json.loads(done.stdout)["readings"] == 0
    assert [shown(what, data) for what in ("readings", "alarms", "latest")] == before


@pytest.mark.parametrize("what", ["events", "notices", "findings"])
def test_what_is_not_built_yet_says_so(data: Path, what: str) -> None:
    done = run("show", what, "--data", data, "--json")
    assert done.returncode == 2
    assert "not available in this version" in done.stderr


def test_an_unknown_word_is_refused_with_the_known_ones(data: Path) -> None:
    done = run("show", "weather", "--data", data)
    assert done.returncode == 2
    assert "latest" in done.stderr


def test_without_json_a_table_is_printed(data: Path) -> None:
    done = run("show", "latest", "--data", data)
    assert done.returncode == 0
    assert "temperature" in done.stdout


def test_a_wrong_time_is_told(data: Path) -> None:
    done = run("show", "readings", "--data", data, "--from", "yesterday")
    assert done.returncode == 2
    assert "--from" in done.stderr


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    done = run("show", "latest", "--data", tmp_path / "none")
    assert done.returncode == 2
    assert "none" in done.stderr


def test_a_wrong_line_stops_the_replay_with_its_number(tmp_path: Path) -> None:
    file = recording(tmp_path, [*list(night_lines())[:3], "{"])
    done = run("replay", file, "--data", data_folder(tmp_path / "data"))
    assert done.returncode == 2
    assert "line 4" in done.stderr
    assert len(shown("readings", tmp_path / "data")) == 6


def test_a_wrong_configuration_tells_every_fault(tmp_path: Path) -> None:
    folder = data_folder(tmp_path / "data", "[shed]\nlatitude = 200\ntimezone = 'Moon'\n")
    done = run("replay", recording(tmp_path, night_lines(1)), "--data", folder)
    assert done.returncode == 2
    assert "shed.latitude" in done.stderr
    assert "shed.timezone" in done.stderr


def test_a_folder_that_a_watch_holds_is_refused(tmp_path: Path) -> None:
    folder = data_folder(tmp_path / "data")
    with DataLock(folder):
        done = run("replay", recording(tmp_path, night_lines(1)), "--data", folder)
    assert done.returncode == 2
    assert "another copy" in done.stderr


def test_show_makes_nothing_in_a_folder_without_stores(tmp_path: Path) -> None:
    folder = data_folder(tmp_path / "data")
    assert shown("alarms", folder) == []
    assert shown("latest", folder) == []
    assert [file.name for file in folder.iterdir()] == ["clutchweather.toml"]


def test_recordings_are_walked_in_the_order_of_time_however_they_are_named(
    tmp_path: Path,
) -> None:
    lines = list(night_lines())
    later = recording(tmp_path, lines[300:], "a.jsonl")
    earlier = recording(tmp_path, lines[:300], "b.jsonl")
    folder = data_folder(tmp_path / "data")
    run("replay", later, earlier, "--data", folder)
    cold = [item for item in shown("alarms", folder) if item["rule"] == "cold-night"]
    assert [item["raised_at"] for item in cold] == ["2026-03-02T00:10:00Z"]


def test_a_recording_cut_in_two_raises_what_the_whole_raises(tmp_path: Path) -> None:
    lines = list(night_lines())
    del lines[100:200]
    whole, halves = data_folder(tmp_path / "whole"), data_folder(tmp_path / "halves")
    run("replay", recording(tmp_path, lines), "--data", whole)
    for name, part in (("first.jsonl", lines[:100]), ("second.jsonl", lines[100:])):
        run("replay", recording(tmp_path, part, name), "--data", halves)

    def times(folder: Path) -> list[tuple[str, str, str]]:
        alarms = shown("alarms", folder)
        return [(item["rule"], item["raised_at"], item["cleared_at"]) for item in alarms]

    assert times(halves) == times(whole)
    assert "overdue:th-shed" in {rule for rule, _, _ in times(whole)}


def test_a_recording_older_than_the_folder_says_that_it_raises_nothing(tmp_path: Path) -> None:
    lines = list(night_lines())
    folder = data_folder(tmp_path / "data")
    run("replay", recording(tmp_path, lines[300:], "later.jsonl"), "--data", folder)
    done = run("replay", recording(tmp_path, lines[:300], "earlier.jsonl"), "--data", folder)
    assert "raised no alarm" in done.stderr
    assert shown("latest", folder)[0]["t"] == LAST


def test_a_second_replay_doubles_no_alarm_of_a_sensor_that_fell_silent(tmp_path: Path) -> None:
    lines = list(night_lines(6))
    end = EVENING + timedelta(hours=11)
    lines.append(
        line(end, "clutchweather/th-box/senml", '[{"n":"th-box:temperature","u":"Cel","v":9}]')
    )
    folder = data_folder(tmp_path / "data")
    file = recording(tmp_path, lines)
    run("replay", file, "--data", folder)
    before = shown("alarms", folder)
    run("replay", file, "--data", folder)
    assert shown("alarms", folder) == before


def test_a_night_without_readings_has_no_hours_below(tmp_path: Path) -> None:
    lines = [
        *list(night_lines(1)),
        *(
            line(
                EVENING + timedelta(days=2, minutes=n),
                "clutchweather/th-shed/senml",
                '[{"n":"th-shed:temperature","u":"Cel","v":9}]',
            )
            for n in range(9)
        ),
    ]
    folder = data_folder(tmp_path / "data")
    run("replay", recording(tmp_path, lines), "--data", folder)
    (night,) = [item for item in shown("nights", folder) if item["night"] == "2026-03-02"]
    assert (night["coverage"], night["low_c"]) == (0.0, None)
    assert night["hours_below"]["5.0"] is None


def test_a_night_that_ends_after_the_time_asked_for_is_told_whole(data: Path) -> None:
    until = (EVENING + timedelta(hours=5)).isoformat()
    (night,) = [n for n in shown("nights", data, "--to", until) if n["night"] == "2026-03-01"]
    assert night["to"] == "2026-03-02T05:30:00Z"
