"""A recording: a replay file, the truth, and a configuration, in one folder."""

import gzip
import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from service.settings.load import load_settings
from simulated_feeds.feed import messages
from simulated_feeds.recording import record
from simulated_feeds.scenarios import scenario_named

SEASON = scenario_named("season", datetime(2026, 11, 25, 14, 3, tzinfo=UTC))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("recording") / "season"
    record(SEASON, SEASON.start, SEASON.origin, made)
    return made


def test_feed_file_holds_the_feed_line_by_line(folder: Path) -> None:
    with gzip.open(folder / "feed.jsonl.gz", "rt", encoding="utf-8") as file:
        found = [json.loads(line) for line in file]
    assert [(line["t"], line["topic"], line["payload"]) for line in found] == [
        (f"{at:%Y-%m-%dT%H:%M:%SZ}", topic, payload.decode())
        for at, topic, payload in messages(SEASON, SEASON.start, SEASON.origin)
    ]


def test_recording_twice_gives_the_same_bytes(tmp_path: Path) -> None:
    since = SEASON.start
    for name in ("one", "two"):
        record(SEASON, since, since + timedelta(hours=5), tmp_path / name)
    for file in ("feed.jsonl.gz", "truth.json", "clutchweather.toml"):
        assert (tmp_path / "one" / file).read_bytes() == (tmp_path / "two" / file).read_bytes()


def test_recording_counts_its_messages(tmp_path: Path) -> None:
    # An hour of one sensor at 60 s and three at 120 s.
    count = record(SEASON, SEASON.start, SEASON.start + timedelta(hours=1), tmp_path)
    assert count == 60 + 3 * 30


def test_truth_tells_every_hour(folder: Path) -> None:
    hours = json.loads((folder / "truth.json").read_text())["hours"]
    assert len(hours) == 21 * 24
    assert hours[0].keys() >= {"t", "shed_c", "shed_rh_pct", "light_lx", "outdoors_c"}


def test_truth_tells_every_night_with_its_low(folder: Path) -> None:
    nights = json.loads((folder / "truth.json").read_text())["nights"]
    assert len(nights) == 21
    cold = [night for night in nights if night["hours_below"]["5.0"] > 0]
    assert [night["night"] for night in cold] == ["2026-11-19"]
    assert cold[0]["low_c"] < 4.0
    assert cold[0]["from"] < cold[0]["low_at"] < cold[0]["to"]


def test_nights_have_the_bounds_of_the_lamps_in_winter(folder: Path) -> None:
    # 20:30 to 06:30 in Amsterdam is 19:30 to 05:30 UTC in November.
    nights = json.loads((folder / "truth.json").read_text())["nights"]
    assert {night["from"][11:] for night in nights} == {"19:30:00Z"}
    assert {night["to"][11:] for night in nights} == {"05:30:00Z"}


def test_configuration_loads(folder: Path) -> None:
    assert load_settings(folder / "clutchweather.toml", folder).shed_id == "hazel"
