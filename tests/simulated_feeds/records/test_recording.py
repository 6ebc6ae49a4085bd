"""A recording: replay file, truth, the keeper's book and a configuration, in one folder."""

import csv
import gzip
import json
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from service.recordings import open_recording, recorded_messages
from service.settings.load import load_settings
from simulated_feeds.days import Shed
from simulated_feeds.records.recording import BOOK_FOLDER, FEED_FILE, record
from simulated_feeds.records.truth import LISTS
from simulated_feeds.records.witness import TRUTH_FILE
from simulated_feeds.scenario_files.reading import scenario_of
from simulated_feeds.stream import messages

NOW = datetime(2026, 11, 25, 14, 3, tzinfo=UTC)
COLD = scenario_of("cold-night", NOW)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("recording") / "cold"
    record(COLD, made)
    return made


@pytest.fixture(scope="module")
def truth(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / TRUTH_FILE).read_text())
    return found


@pytest.fixture(scope="module")
def rows(folder: Path) -> Callable[[str], list[dict[str, str]]]:
    def read(table: str) -> list[dict[str, str]]:
        with (folder / BOOK_FOLDER / f"{table}.csv").open(newline="", encoding="utf-8") as file:
            return list(csv.DictReader(file))

    return read


def files(folder: Path) -> dict[str, bytes]:
    return {
        str(file.relative_to(folder)): file.read_bytes()
        for file in sorted(folder.rglob("*"))
        if file.is_file()
    }


def test_feed_file_holds_the_messages_line_by_line(folder: Path) -> None:
    told = messages(
        Shed(COLD).days(),
        COLD.senders,
        seed=COLD.seed,
        happenings=COLD.happenings,
        until=COLD.origin,
    )
    with gzip.open(folder / FEED_FILE, "rt", encoding="utf-8") as file:
        found = [json.loads(line) for line in file]
    assert [(line["topic"], line["payload"]) for line in found] == [
        (sent.topic, sent.payload.decode()) for sent in told
    ]


def test_feed_file_is_read_by_the_service(folder: Path) -> None:
    with open_recording(folder / FEED_FILE) as lines:
        received = [one.received_at for one in recorded_messages(folder / FEED_FILE, lines)]
    assert received == sorted(received)
    assert received[0] - COLD.start < timedelta(minutes=1)
    assert COLD.origin - received[-1] < timedelta(minutes=1)


def test_recording_twice_gives_the_same_bytes_in_every_file(folder: Path, tmp_path: Path) -> None:
    record(scenario_of("cold-night", NOW + timedelta(days=100)), tmp_path)
    assert files(tmp_path) == files(folder)


def test_another_seed_gives_another_feed_and_another_truth(folder: Path, tmp_path: Path) -> None:
    record(scenario_of("cold-night", NOW, seed=2), tmp_path)
    for file in (FEED_FILE, TRUTH_FILE):
        assert (tmp_path / file).read_bytes() != (folder / file).read_bytes()


def test_a_recording_replaces_the_one_before_it(folder: Path, tmp_path: Path) -> None:
    record(scenario_of("quiet-week", NOW, days=1), tmp_path)
    record(COLD, tmp_path)
    assert files(tmp_path) == files(folder)


def test_recording_counts_its_messages(tmp_path: Path) -> None:
    # A day of one sensor at 60 s and three at 120 s.
    assert record(scenario_of("quiet-week", NOW, days=1), tmp_path) == 1440 + 3 * 720


def test_recording_tells_how_far_it_is(tmp_path: Path) -> None:
    told: list[datetime] = []
    scenario = scenario_of("quiet-week", NOW, days=2)
    record(scenario, tmp_path, told.append)
    assert told == sorted(told)
    assert scenario.origin - told[-1] < timedelta(minutes=1)


def test_configuration_loads(folder: Path) -> None:
    assert load_settings(folder / "clutchweather.toml", folder).shed_id == "hazel"


def test_truth_has_every_list_of_the_schema_with_the_schema_s_keys(truth: dict[str, Any]) -> None:
    assert set(LISTS) <= set(truth)
    for name, row in LISTS.items():
        for told in truth[name]:
            assert set(told) == set(row.__annotations__), name


def test_truth_tells_every_hour_and_every_night(truth: dict[str, Any]) -> None:
    assert len(truth["hours"]) == 3 * 24
    assert [night["night"] for night in truth["nights"]] == [
        "2026-02-02",
        "2026-02-03",
        "2026-02-04",
    ]


def test_nights_have_the_bounds_of_the_lamps_in_winter(truth: dict[str, Any]) -> None:
    # 20:30 to 06:30 in Amsterdam is 19:30 to 05:30 UTC in February.
    assert {night["from"][11:] for night in truth["nights"]} == {"19:30:00Z"}
    assert {night["to"][11:] for night in truth["nights"]} == {"05:30:00Z"}


def test_only_the_cold_night_was_too_cold(truth: dict[str, Any]) -> None:
    cold = [night for night in truth["nights"] if night["hours_below"]["5.0"] > 0]
    assert [night["night"] for night in cold] == ["2026-02-03"]
    assert cold[0]["from"] < cold[0]["low_at"] <= cold[0]["to"]


def test_truth_tells_a_low_of_every_box(truth: dict[str, Any]) -> None:
    for night in truth["nights"]:
        assert len(night["boxes"]) == 9
        # A hen that sits warms box 2; nobody is in box 9.
        assert night["boxes"]["box-2"]["low_c"] > night["boxes"]["box-9"]["low_c"] + 2.0


def test_no_bird_is_in_two_boxes_and_no_bout_overlaps_another(truth: dict[str, Any]) -> None:
    by_bird: dict[tuple[str, str], list[tuple[str, str]]] = {}
    for bout in truth["bouts"]:
        by_bird.setdefault((bout["box"], bout["who"]), []).append((bout["from"], bout["to"]))
    assert ("box-2", "hen") in by_bird
    for spans in by_bird.values():
        spans.sort()
        assert all(a[0] < a[1] <= b[0] for a, b in pairwise(spans))


def test_eggs_of_the_book_are_those_of_the_truth_that_a_look_could_see(
    truth: dict[str, Any], rows: Callable[[str], list[dict[str, str]]]
) -> None:
    laid = sorted(egg["laid_at"] for egg in truth["eggs"])
    told = sorted((egg["laid_from"], egg["laid_to"]) for egg in rows("eggs"))
    seen = [at for at in laid if at <= max(check["at"] for check in rows("checks"))]
    assert len(told) == len(seen)
    assert all(since <= at <= until for at, (since, until) in zip(seen, told, strict=True))


def test_chicks_hatched_between_the_looks_of_the_book(
    truth: dict[str, Any], rows: Callable[[str], list[dict[str, str]]]
) -> None:
    hatched = sorted(chick["hatched_at"] for chick in truth["chicks"])
    told = sorted((chick["hatched_from"], chick["hatched_to"]) for chick in rows("chicks"))
    assert len(told) == len(hatched) > 0
    assert all(since <= at <= until for at, (since, until) in zip(hatched, told, strict=True))


def test_checks_are_once_or_twice_a_day(rows: Callable[[str], list[dict[str, str]]]) -> None:
    looks: dict[tuple[str, str], int] = {}
    for check in rows("checks"):
        day = check["box"], check["at"][:10]
        looks[day] = looks.get(day, 0) + 1
    assert set(looks.values()) == {1, 2}


def test_a_chick_s_masses_grow_day_by_day(truth: dict[str, Any]) -> None:
    for chick in truth["chicks"]:
        ages = [age for age, _ in chick["masses"]]
        assert ages == sorted(ages)
        young = [grams for age, grams in chick["masses"] if age < 15]
        assert young == sorted(young)


def test_what_is_planted_is_told_with_its_zeros(truth: dict[str, Any]) -> None:
    effects = {
        (one["outcome"], one["condition"]): one["log_odds_per_sd"] for one in truth["planted"]
    }
    assert effects["hatched", "night low in days 1 to 6 of sitting"] == 0.0
    assert len(effects) == 9


def test_nothing_is_told_before_the_start_nor_after_the_present(truth: dict[str, Any]) -> None:
    start, origin = truth["start"], truth["origin"]
    assert all(start <= hour["t"] < origin for hour in truth["hours"])
    assert all(start <= bout["from"] < bout["to"] <= origin for bout in truth["bouts"])


def test_a_present_within_a_day_cuts_everything_there(tmp_path: Path) -> None:
    short = replace(COLD, origin=COLD.start + timedelta(days=1, hours=5))
    record(short, tmp_path)
    found = json.loads((tmp_path / TRUTH_FILE).read_text())
    until = found["origin"]
    assert len(found["hours"]) == 29
    assert all(one["to"] <= until for name in ("bouts", "lamps") for one in found[name])
    assert all(egg["laid_at"] <= until for egg in found["eggs"])
    with (tmp_path / BOOK_FOLDER / "checks.csv").open(newline="", encoding="utf-8") as file:
        assert all(check["at"] <= until for check in csv.DictReader(file))
