"""The configuration that goes with a feed, read by the service itself."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from service.settings.load import load_settings
from service.settings.settings import Settings
from simulated_feeds.configuration import config_toml
from simulated_feeds.nest_story import places
from simulated_feeds.scenario import Scenario
from simulated_feeds.scenarios import scenario_named
from simulated_feeds.sensors import SENSORS

SEASON = scenario_named("season", datetime(2026, 11, 25, 14, 3, tzinfo=UTC))


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    text = config_toml(SEASON, broker_port=18830, pages_port=9000)
    (tmp_path / "clutchweather.toml").write_text(text)
    return load_settings(None, tmp_path)


def test_configuration_asks_for_nothing_that_is_missing(settings: Settings) -> None:
    assert (settings.faults, settings.not_in_this_version) == ((), ())


def test_configuration_names_shed_broker_and_pages(settings: Settings) -> None:
    assert (settings.shed_id, settings.shed_name) == ("hazel", "Hazel shed")
    assert (settings.site.latitude, settings.site.longitude) == (53.2, 6.6)
    assert (settings.broker.host, settings.broker.port, settings.port) == ("127.0.0.1", 18830, 9000)


def test_places_are_those_of_the_story(settings: Settings) -> None:
    told = {(p.id, p.kind, p.name, p.within, p.order) for p in places()}
    assert {(p.id, p.kind.value, p.name, p.within, p.order) for p in settings.places} == told


def test_sensors_are_those_that_speak(settings: Settings) -> None:
    speak = {(sensor.device, sensor.place, sensor.interval) for sensor in SENSORS}
    assert {(s.device, s.place, s.interval) for s in settings.sensors} == speak


def test_lamps_are_those_of_the_scenario(settings: Settings) -> None:
    schedule = settings.light.schedule
    assert schedule is not None
    lamps = SEASON.lamps
    assert (schedule.on, schedule.off, schedule.dim) == (lamps.on, lamps.off, lamps.dim)


def test_limits_are_those_of_the_scenario(settings: Settings) -> None:
    limits = {limit.id: (limit.low, limit.high) for limit in settings.limits}
    assert limits["cold-night"] == (SEASON.cold_limit_c, None)
    assert limits["damp"] == (None, SEASON.damp_limit_pct)
    assert limits.keys() == {"cold-night", "hot", "damp", "dry"}


def test_another_scenario_changes_limits_and_lamps(tmp_path: Path) -> None:
    other = Scenario(name="season", seed=1, origin=SEASON.origin, cold_limit_c=4.0)
    (tmp_path / "clutchweather.toml").write_text(config_toml(other))
    lows = {limit.id: limit.low for limit in load_settings(None, tmp_path).limits}
    assert lows["cold-night"] == 4.0
