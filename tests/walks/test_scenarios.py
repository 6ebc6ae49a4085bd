"""Every scenario, recorded and replayed through the real walk: which alarms are raised.

Each scenario file says what must follow. All of it that today's rules can raise is raised in
time, and nothing else is told; what no rule can raise yet is listed by name, and that list can only
shrink.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from service.answers.alarms import AlarmAnswer, alarms
from service.answers.light import LightAnswer, light
from service.answers.nights import NightAnswer, nights
from service.commands.replaying import replay_files
from service.commands.show import NOT_BUILT_YET
from service.settings.load import read_file
from service.settings.settings import Settings
from service.store.reading_store import ReadingStore
from service.wiring import shed_to_ask
from simulated_feeds.present import scenario_at
from simulated_feeds.records.configuration import CONFIGURATION_FILE
from simulated_feeds.records.recording import FEED_FILE, record
from simulated_feeds.records.truth import Night, Stretch
from simulated_feeds.records.witness import TRUTH_FILE
from simulated_feeds.scenario_files.reading import names, scenario_of
from simulated_feeds.scenario_files.scenario import Follows, Scenario
from simulated_feeds.senders.parameters import Where
from tests.walks.command_line import data_folder, run, shown

NOW = datetime(2026, 11, 25, 14, 3, tzinfo=UTC)

# Whole seasons take minutes to record; what they say must follow is nothing.
LONG = frozenset(("nine-cages", "seasons-with-effect", "seasons-without"))
SHORT = tuple(name for name in names() if name not in LONG)
# Three weeks of a quiet past tell nothing more than its last days: [days].
CUT = dict.fromkeys(("season", "quiet", "silent", "cold"), 8)

# What must follow and no rule can raise yet: scenario and alarm, or kind of event.
WAITING = {
    ("does-not-clear", "not-cleared"),
    ("off-her-eggs", "off-the-eggs:box-2"),
    ("off-her-eggs", "hen-off"),
}
LIMITS = frozenset(("cold-night", "hot", "damp", "dry"))
RAISED_TODAY = (
    "overdue:",
    "twins:",
    "clock:",
    "condensation:",
    "dark-by-day:",
    "light-by-night:",
    "power-cut:",
)


def can_be_raised(follows: Follows) -> bool:
    """Whether one of today's rules is of that name; events are suggested by none."""
    rule = follows.alarm or ""
    return rule in LIMITS or rule.startswith(RAISED_TODAY)


@dataclass(frozen=True, slots=True)
class Walked:
    """A scenario, and what came of it: alarms, and nights beside those of its truth.

    ``light`` are its days, ``lamps`` when some lamp truly began to burn and none did any more.
    """

    scenario: Scenario
    alarms: Sequence[AlarmAnswer]
    nights: Sequence[tuple[NightAnswer, Night]]
    light: Sequence[LightAnswer]
    lamps: Sequence[Stretch]

    def of(self, follows: Follows) -> list[AlarmAnswer]:
        """The alarms that are what must follow, in time."""
        return [
            alarm
            for alarm in self.alarms
            if (alarm["rule"], alarm["place"]) == (follows.alarm, follows.place)
            and follows.since <= datetime.fromisoformat(alarm["raised_at"]) < follows.until
        ]


@pytest.fixture(scope="module", params=SHORT)
def walked(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Walked:
    folder = tmp_path_factory.mktemp(request.param)
    scenario = scenario_at(request.param, NOW, days=CUT.get(request.param))
    record(scenario, folder)
    stated = read_file(folder / CONFIGURATION_FILE, folder)
    replay_files([folder / FEED_FILE], stated, folder)
    with shed_to_ask(stated, folder) as (settings, stores):
        assert {limit.id for limit in settings.limits} == LIMITS
        truth = json.loads((folder / TRUTH_FILE).read_text())
        return Walked(
            scenario,
            alarms(stores.records.alarms.alarms(None, None)),
            _nights(stores.readings, settings, truth),
            light(stores.readings, settings, scenario.start, scenario.origin, scenario.origin),
            truth["lamps"],
        )


def _nights(
    readings: ReadingStore, settings: Settings, truth: dict[str, list[Night]]
) -> list[tuple[NightAnswer, Night]]:
    """Those that were heard whole, each beside what it truly was."""
    really = {night["night"]: night for night in truth["nights"]}
    until = max(one.measured_at for one in readings.latest())
    since = until - timedelta(days=20)
    told = nights(readings, settings, since, until, until)
    return [
        (night, really[night["night"]])
        for night in told
        if night["night"] in really and night["coverage"] > 0.99
    ]


def test_what_must_follow_and_can_be_raised_is_raised_in_time(walked: Walked) -> None:
    wanted = [follows for follows in walked.scenario.follows if can_be_raised(follows)]
    assert [follows for follows in wanted if not walked.of(follows)] == []


def test_nothing_else_is_told(walked: Walked) -> None:
    expected = [
        (alarm["rule"], alarm["raised_at"])
        for follows in walked.scenario.follows
        for alarm in walked.of(follows)
    ]
    told = [(alarm["rule"], alarm["raised_at"]) for alarm in walked.alarms if alarm["told_at"]]
    assert sorted(told) == sorted(set(expected))


def test_lows_are_those_of_the_truth_within_what_the_sensor_is_off(walked: Walked) -> None:
    sensor = next(one for one in walked.scenario.senders if one.device == "th-shed")
    within_k = sensor.air.temperature_accuracy_k + 0.1
    lows = [(told["low_c"], truly["low_c"]) for told, truly in walked.nights]
    assert lows
    assert [pair for pair in lows if abs((pair[0] or -99.0) - pair[1]) > within_k] == []


def test_lights_on_and_off_by_lamps_are_known_within_two_readings(walked: Walked) -> None:
    sensor = next(one for one in walked.scenario.senders if one.device == "th-shed")
    within = 2 * sensor.interval
    whole = [day for day in walked.light if day["is_over"] and day["coverage"] > 0.99]
    assert whole
    for key, by, edge in (("on_at", "on_by", "from"), ("off_at", "off_by", "to")):
        truly = [datetime.fromisoformat(one[edge]) for one in walked.lamps]  # type: ignore[literal-required]
        told = [datetime.fromisoformat(day[key]) for day in whole if day[by] == "lamps"]  # type: ignore[literal-required]
        # In July it stays light beyond the lamps.
        assert told or (key, walked.scenario.name) == ("off_at", "heat-wave")
        off = [min(abs(at - one) for one in truly) for at in told]
        assert [one for one in off if one > within] == [], key


def test_minutes_of_water_on_the_pane_are_within_a_tenth_or_not_told(walked: Walked) -> None:
    for told, truly in walked.nights:
        least, most = told["condensation_least_min"], told["condensation_most_min"]
        assert least is not None
        assert most is not None
        wet = truly["condensation_min"]
        within = max(0.1 * wet, 15.0)
        assert least - within <= wet <= most + within, told["night"]
        if told["surface"] == "measured" or told["condensation_min"] is not None:
            assert told["condensation_min"] == pytest.approx(wet, abs=within), told["night"]


def test_the_pane_of_the_damp_night_has_a_thermometer_on_it() -> None:
    senders = scenario_of("damp-night", NOW).senders
    assert [one.device for one in senders if one.where is Where.SURFACE] == ["t-pane"]


def test_what_waits_is_raised_by_no_rule(walked: Walked) -> None:
    waits = [follows for follows in walked.scenario.follows if not can_be_raised(follows)]
    raised = [follows.alarm for follows in waits if walked.of(follows)]
    assert raised == [], "take it off the list of what waits"


def test_what_waits_is_listed_by_name() -> None:
    waits = {
        (name, follows.alarm or follows.event)
        for name in names()
        for follows in scenario_of(name, NOW).follows
        if not can_be_raised(follows)
    }
    assert waits == WAITING


def test_events_wait_as_long_as_none_can_be_shown() -> None:
    # Once `show events` answers, what must follow of them is no longer to be waited for.
    assert "events" in NOT_BUILT_YET


def test_long_scenarios_promise_no_alarm() -> None:
    assert [scenario_of(name, NOW).follows for name in sorted(LONG)] == [(), (), ()]


def test_a_scenario_goes_through_the_command_line(tmp_path: Path) -> None:
    done = run("feed", "sensor-stops", "--record", tmp_path / "rec")
    assert done.returncode == 0, done.stderr
    data = data_folder(tmp_path / "data", (tmp_path / "rec" / CONFIGURATION_FILE).read_text())
    assert run("replay", tmp_path / "rec" / FEED_FILE, "--data", data).returncode == 0
    assert [alarm["rule"] for alarm in shown("alarms", data)] == ["overdue:th-box-4"]


def test_another_process_records_the_same_bytes(tmp_path: Path) -> None:
    # Each process of Python hashes its words otherwise: nothing may hang on that.
    assert run("feed", "cold-night", "--record", tmp_path / "there").returncode == 0
    record(scenario_of("cold-night", NOW), tmp_path / "here")
    here, there = (
        {str(file.relative_to(folder)): file.read_bytes() for file in folder.rglob("*.*")}
        for folder in (tmp_path / "here", tmp_path / "there")
    )
    assert FEED_FILE in here
    assert here == there


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["storm"], ["'storm'", "cold-night"]),
        (["quiet-week", "--days", "0"], ["days", "0", "1 to 3700"]),
        (["quiet-week", "--seed", "-4"], ["seed", "-4", "0 to 4294967295"]),
        (["nowhere.toml"], ["nowhere.toml"]),
        (["quiet-week", "--broker", "http://x"], ["--broker", "http://x", "mqtt://host:port"]),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_feed_tells_what_it_can_not_do_and_ends_with_2(
    arguments: list[str], words: list[str]
) -> None:
    done = run("feed", *arguments)
    assert done.returncode == 2
    for word in words:
        assert word in done.stderr
