"""The configuration that goes with a feed, read by the service itself."""

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from pathlib import Path

import pytest

from devices.sensor import Format
from service.settings.load import load_settings
from service.settings.settings import Settings
from simulated_feeds.house import places
from simulated_feeds.records.configuration import config_toml
from simulated_feeds.scenario_files.reading import scenario_of
from simulated_feeds.scenario_files.scenario import Limits, Scenario
from simulated_feeds.senders.parameters import Sender, SenderKind, Where

NOW = datetime(2026, 11, 25, 14, 3, tzinfo=UTC)
SEASON = scenario_of("season", NOW)
CAGES = scenario_of("nine-cages", NOW)


def loaded(folder: Path, scenario: Scenario) -> Settings:
    text = config_toml(scenario, broker_port=18830, pages_port=9000)
    (folder / "clutchweather.toml").write_text(text)
    return load_settings(None, folder)


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    return loaded(tmp_path, SEASON)


def test_configuration_asks_for_nothing_that_is_missing(settings: Settings) -> None:
    assert (settings.faults, settings.not_in_this_version) == ((), ())


def test_configuration_names_shed_broker_and_pages(settings: Settings) -> None:
    assert (settings.shed_id, settings.shed_name) == ("hazel", "Hazel shed")
    assert (settings.site.latitude, settings.site.longitude) == (53.2, 6.6)
    assert (settings.broker.host, settings.broker.port, settings.port) == ("127.0.0.1", 18830, 9000)


def test_places_are_those_of_the_house(settings: Settings) -> None:
    told = {(p.id, p.kind, p.name, p.within, p.order) for p in places()}
    assert {(p.id, p.kind.value, p.name, p.within, p.order) for p in settings.places} == told


@pytest.mark.parametrize("scenario", [SEASON, CAGES], ids=lambda scenario: scenario.name)
def test_sensors_are_those_that_speak(scenario: Scenario, tmp_path: Path) -> None:
    speak = {(one.device, one.place, one.message_interval) for one in scenario.senders}
    found = loaded(tmp_path, scenario).sensors
    assert {(s.device, s.place, s.interval) for s in found} == speak


def test_lamps_are_those_of_the_scenario(settings: Settings) -> None:
    schedule = settings.light.schedule
    assert schedule is not None
    lamps = SEASON.lamps
    assert (schedule.on, schedule.off, schedule.dim) == (lamps.on, lamps.off, lamps.dim)


def test_each_step_of_days_that_are_lengthened_is_stated(tmp_path: Path) -> None:
    since = SEASON.site.date_of(SEASON.start) + timedelta(days=7)
    lamps = replace(SEASON.lamps, lengthen_from=since, shortest_h=9.0, lengthen_a_week_min=30.0)
    light = loaded(tmp_path, replace(SEASON, lamps=lamps)).light
    # Two weeks later ten hours; four hours of fourteen are missing, half of them at each end.
    schedule = light.schedule_on(since + timedelta(days=14))
    assert schedule is not None
    assert (schedule.on, schedule.off) == (time(8, 30), time(18, 30))
    assert [light.schedule_on(one) for one in (since, since + timedelta(days=6))] == [
        light.schedule
    ] * 2
    assert len(light.steps) == 10  # five hours more, half an hour a week


def test_limits_are_those_of_the_scenario(tmp_path: Path) -> None:
    other = replace(SEASON, limits=Limits(cold_c=4.0, damp_pct=77.0))
    limits = {limit.id: (limit.low, limit.high) for limit in loaded(tmp_path, other).limits}
    assert limits["cold-night"] == (4.0, None)
    assert limits["damp"] == (None, 77.0)
    assert limits.keys() == {"cold-night", "hot", "damp", "dry"}


@pytest.mark.parametrize("format_", list(Format))
def test_every_format_has_its_feed(format_: Format, tmp_path: Path) -> None:
    sender = Sender(
        device="gate-1",
        place="shed",
        where=Where.SHED,
        kind=SenderKind.AIR_AND_LIGHT,
        interval=timedelta(minutes=1),
        format=format_,
    )
    settings = loaded(tmp_path, replace(SEASON, senders=(sender,)))
    assert settings.faults == ()
    assert {feed.format for feed in settings.feeds} == {Format.SENML, format_}
