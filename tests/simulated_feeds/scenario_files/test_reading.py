"""Scenarios by name and from files: what they say, and every fault in a sentence."""

import os
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from simulated_feeds.birds.conditions import Condition
from simulated_feeds.happening import What
from simulated_feeds.scenario_files.reading import (
    ScenarioFaultsError,
    UnknownScenarioError,
    names,
    scenario_of,
)
from simulated_feeds.scenario_files.scenario import Scenario

NOW = datetime(2026, 11, 25, 14, 3, 27, 500, tzinfo=UTC)

HEAD = """
about = "A trial."
begins = 2026-03-02
days = 3
"""


def written(folder: Path, text: str) -> str:
    file = folder / "own.toml"
    file.write_text(HEAD + text)
    return str(file)


def read(folder: Path, text: str) -> Scenario:
    return scenario_of(written(folder, text), NOW)


def faults(folder: Path, text: str) -> tuple[str, ...]:
    with pytest.raises(ScenarioFaultsError) as told:
        read(folder, text)
    return told.value.faults


def follows(place: str = "shed", day: int = 2) -> str:
    return (
        f'[[must_follow]]\nalarm = "hot"\nplace = "{place}"\n'
        f'from = {{ day = 1, at = "18:00" }}\nto = {{ day = {day}, at = "06:00" }}\n'
    )


@pytest.mark.parametrize("name", names())
def test_every_scenario_that_comes_with_it_can_be_read(name: str) -> None:
    scenario = scenario_of(name, NOW)
    assert scenario.name == name
    assert scenario.about.endswith(".")


def test_the_scenarios_are_those_of_the_manual() -> None:
    assert set(names()) == {
        "season", "quiet", "cold", "silent", "quiet-week", "cold-night", "damp-night",
        "lamps-fail", "lamps-at-midnight", "does-not-clear", "off-her-eggs", "sensor-stops",
        "power-cut", "clock-jump", "heat-wave", "backlog", "nine-cages", "seasons-with-effect",
        "seasons-without",
    }  # fmt: skip


def test_an_unknown_name_is_refused_with_the_known_ones() -> None:
    with pytest.raises(UnknownScenarioError, match=r"'storm'.*backlog, .*silent"):
        scenario_of("storm", NOW)


def test_present_in_another_offset_is_turned_into_utc() -> None:
    there = NOW.astimezone(timezone(timedelta(hours=9)))
    assert scenario_of("season", there) == scenario_of("season", NOW)


def test_a_present_is_the_minute_that_was_asked_for() -> None:
    assert scenario_of("season", NOW).origin == datetime(2026, 11, 25, 14, 3, tzinfo=UTC)


def test_a_recorded_scenario_does_not_depend_on_the_day_it_is_recorded() -> None:
    assert scenario_of("cold-night", NOW) == scenario_of("cold-night", NOW + timedelta(days=99))


def test_a_recorded_scenario_runs_from_noon_to_noon(tmp_path: Path) -> None:
    scenario = read(tmp_path, "")
    # Noon in Amsterdam is 11:00 UTC in winter.
    assert scenario.start == datetime(2026, 3, 2, 11, tzinfo=UTC)
    assert scenario.origin - scenario.start == timedelta(days=3)


def test_seed_and_length_can_be_others_than_the_file_s() -> None:
    scenario = scenario_of("quiet-week", NOW, seed=7, days=2)
    assert (scenario.seed, scenario.days) == (7, 2)


@pytest.mark.parametrize(
    ("seed", "days", "words"),
    [
        (-1, None, "seed is -1; allowed is 0 to 4294967295"),
        (None, 0, "days is 0; allowed is 1 to 3700"),
        (None, 3701, "days is 3701; allowed is 1 to 3700"),
    ],
)
def test_an_impossible_seed_or_length_is_named_with_what_is_allowed(
    seed: int | None, days: int | None, words: str
) -> None:
    with pytest.raises(ScenarioFaultsError) as told:
        scenario_of("quiet-week", NOW, seed=seed, days=days)
    assert told.value.faults == (words,)


def test_times_are_local_ones_of_numbered_days(tmp_path: Path) -> None:
    text = """
    [[happening]]
    what = "lamps fail"
    from = { day = 1, at = "18:00" }
    to = { day = 2, at = "06:30" }
    """
    (happening,) = read(tmp_path, text).happenings
    assert happening.what is What.LAMPS_FAIL
    assert happening.since == datetime(2026, 3, 2, 17, tzinfo=UTC)
    assert happening.until == datetime(2026, 3, 3, 5, 30, tzinfo=UTC)


def test_day_0_of_a_present_is_the_date_on_whose_evening_the_night_began() -> None:
    def cold_evening(hour: int) -> int:
        scenario = scenario_of("season", datetime(2026, 11, 25, hour, tzinfo=UTC))
        return next(h for h in scenario.happenings if h.what is What.COLD_NIGHT).since.day

    assert [cold_evening(hour) for hour in (2, 10, 12, 22)] == [18, 18, 19, 19]


def test_what_holds_at_the_present_begins_there_and_goes_on() -> None:
    silent = scenario_of("silent", NOW)
    stops = next(h for h in silent.happenings if h.what is What.STOPS)
    assert stops.since == silent.origin
    assert stops.holds(silent.origin + timedelta(days=1000))


def test_the_usual_senders_hang_there_where_a_file_names_none(tmp_path: Path) -> None:
    devices = [sender.device for sender in read(tmp_path, "").senders]
    assert devices == ["th-shed", "th-outdoors", "th-box-2", "th-box-4"]


def test_a_star_stands_for_every_box(tmp_path: Path) -> None:
    text = """
    [[sender]]
    device = "scale-*"
    place = "box-*"
    kind = "scale"
    interval = "10 s"
    """
    senders = read(tmp_path, text).senders
    assert [(sender.device, sender.place) for sender in senders] == [
        (f"scale-{number}", f"box-{number}") for number in range(1, 10)
    ]


def test_pairs_are_put_up_season_after_season_with_the_same_birds() -> None:
    pairs = scenario_of("seasons-without", NOW).pairs
    assert len(pairs) == 5 * 9
    assert len({pair.hen.id for pair in pairs}) == 9


def test_an_effect_is_planted_in_one_of_the_two_and_none_in_the_other() -> None:
    planted, none = (
        scenario_of(name, NOW).birds.effects.hatched
        for name in ("seasons-with-effect", "seasons-without")
    )
    assert planted == {Condition.NIGHT_LOW_SITTING: 1.0}
    assert none == {}


def test_one_reference_leaves_the_others_as_they_are(tmp_path: Path) -> None:
    text = """
    [birds.references."chilled hours of sitting"]
    mean = 1.0
    sd = 2.0
    """
    references = read(tmp_path, text).birds.references
    assert (references[Condition.CHILLED_HOURS].mean, len(references)) == (1.0, len(Condition))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("colour = 3", ["colour", "not known"]),
        ("[site]\nlatitude = 91.0", ["site.latitude", "91", "90"]),
        ('[site]\ntimezone = "Mars/Base"', ["site.timezone", "Mars/Base", "Europe/Amsterdam"]),
        ("[limits]\ncold_c = 50", ["limits.cold_c", "50", "25"]),
        ("[weather]\nunrest = 9.0", ["weather.unrest", "9", "0 to 1.5"]),
        ("[weather]\nlatitude = 50.0", ["weather.latitude", "can't be set here"]),
        ("[lamps]\nfull_w = -5", ["lamps.full_w", "-5", "0 to 2000 W"]),
        ("[lamps]\nmoon = 1", ["lamps.moon", "not known", "full_w"]),
        ("[birds.survival]\nhatched = 2.0", ["birds", "hatched", "2.0", "0.02 to 0.99"]),
        ("[birds.survival]\nhatch = 0.5", ["birds.survival.hatch", "not known", "hatched"]),
        ("[lamps]\non = 7", ["lamps.on", "7", "18:30"]),
        ('[lamps]\non = "06:30+02:00"', ["lamps.on", "06:30+02:00", "18:30"]),
        ("[birds.effects.hatched]\nluck = 1.0", ["birds.effects.hatched", "luck"]),
        (f'[site]\ntimezone = "{"x" * 500}"', ["site.timezone", "x…"]),
        (
            "[[pairs]]\nput_up_on = 1999-01-01",
            ["pairs.0.put_up_on", "1999-01-01", "2025-03-02 to 2026-03-05"],
        ),
        (
            "[[pairs]]\nput_up_on = 2026-02-01\nended_on = 2026-01-20",
            ["pairs", "ended_on", "2026-01-20"],
        ),
        (
            "[[pairs]]\nput_up_on = 2026-01-01\n[[pairs]]\nput_up_on = 2026-02-01",
            ["pairs", "put_up_on of box-", "2026-02-"],
        ),
        ("[[pairs]]\nput_up_on = 5", ["pairs.0.put_up_on", "5", "date"]),
        (
            '[[sender]]\ndevice = "a"\nplace = "attic"\nkind = "air"\ninterval = "60 s"',
            ["sender.0.place", "'attic'", "shed, outdoors, surface, box-1"],
        ),
        (
            '[[sender]]\ndevice = "a"\nplace = "box-1"\nkind = "scale"\ninterval = "10 s"\n'
            "scale = { noise_g = -5.0 }",
            ["sender.0.scale.noise_g", "-5.0", "g"],
        ),
        (follows(place="attic"), ["must_follow.0.place", "'attic'", "box-9"]),
        (follows(day=1), ["must_follow.0", "ends before it begins"]),
        (follows().replace('alarm = "hot"', ""), ["must_follow.0", "alarm or event"]),
        ("[keeper]\nmisses = 2", ["keeper.misses", "2", "0 to 0.9"]),
        (
            '[[sender]]\ndevice = "a"\nplace = "shed"\nkind = "air"\ninterval = "7 h"',
            ["sender.0", "interval", "7:00:00", "0.1 s to 6 h"],
        ),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_can_not_be_is_told_with_file_value_and_what_is_allowed(
    tmp_path: Path, text: str, words: list[str]
) -> None:
    (sentence,) = faults(tmp_path, text)
    assert sentence.startswith(str(tmp_path / "own.toml"))
    for word in words:
        assert word in sentence


def happening(what: str, more: str = "", day: int = 3) -> str:
    return (
        f'[[happening]]\nwhat = "{what}"\n{more}\n'
        f'from = {{ day = 2, at = "18:00" }}\nto = {{ day = {day}, at = "06:00" }}\n'
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (happening("storm"), ["'storm'", "cold night"]),
        (happening("lamps fail", day=1), ["happening.0", "ends before it begins"]),
        (happening("cold night").replace("06:00", "18:30").replace("day = 3", "day = 2"), ["6 h"]),
        (happening("cold night", "amount = -40.0"), ["amount", "-40", "-30 to 20 °C"]),
        (happening("heat wave", "amount = 80.0"), ["amount", "80", "15 to 45 °C"]),
        (happening("lamps fail", "amount = 1.0"), ["amount", "1.0", "none"]),
        (happening("lamps fail", 'who = "box-1"'), ["who", "box-1", "whole shed"]),
        (happening("hen off her eggs"), ["who", "missing", "box-1, box-2"]),
        (happening("hen off her eggs", 'who = "box-77"'), ["who", "box-77", "box-9"]),
        (happening("sensor stops", 'who = "th-attic"'), ["who", "th-attic", "th-box-4"]),
        (happening("glitches", 'who = "th-shed"'), ["who", "th-shed", "a scale"]),
        (happening("messages lost", 'who = "th-shed"\namount = 2.0'), ["amount", "2.0", "share"]),
        (happening("lamps fail").replace("18:00", "25:00"), ["at", "25:00", "18:30"]),
        (happening("lamps fail").replace("18:00", "18:00+02:00"), ["at", "+02:00", "18:30"]),
        (happening("lamps fail").replace("day = 2", "day = -999"), ["day", "-999", "-400"]),
    ],
    ids=lambda value: value.split('"')[1] if isinstance(value, str) else "",
)
def test_a_happening_that_can_not_be_is_told_with_what_is_allowed(
    tmp_path: Path, text: str, words: list[str]
) -> None:
    (sentence,) = faults(tmp_path, text)
    for word in words:
        assert word in sentence


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    text = "[lamps]\nfull_w = -5\n[weather]\nunrest = 9\n"
    text += happening("cold night", "amount = 50.0")
    assert len(faults(tmp_path, text)) == 3


@pytest.mark.parametrize(
    "text", ["begins = 2026-03-02", "present = 'now'\nbegins = 2026-03-02"], ids=["neither", "both"]
)
def test_a_file_says_when_it_begins_or_that_it_ends_now(tmp_path: Path, text: str) -> None:
    text = "" if text.startswith("begins") else text
    (tmp_path / "own.toml").write_text(f'about = "x"\ndays = 3\n{text}\n')
    with pytest.raises(ScenarioFaultsError, match="begins"):
        scenario_of(str(tmp_path / "own.toml"), NOW)


def test_what_is_no_toml_is_told_with_its_line(tmp_path: Path) -> None:
    (sentence,) = faults(tmp_path, "days days")
    assert "own.toml" in sentence
    assert "line 5" in sentence


def test_a_file_that_is_not_there_is_told() -> None:
    with pytest.raises(ScenarioFaultsError, match=r"nowhere\.toml can't be read"):
        scenario_of("/nowhere.toml", NOW)


@pytest.mark.parametrize(
    "begins", ["0001-01-01", "1960-05-05", "9999-12-31", "5", "1999-01-01T12:00:00"]
)
def test_a_date_that_no_shed_could_have_is_told(tmp_path: Path, begins: str) -> None:
    (tmp_path / "own.toml").write_text(f'about = "x"\ndays = 3\nbegins = {begins}\n')
    with pytest.raises(ScenarioFaultsError, match="begins"):
        scenario_of(str(tmp_path / "own.toml"), NOW)


def test_a_key_that_is_not_known_is_told_with_those_that_are(tmp_path: Path) -> None:
    (sentence,) = faults(tmp_path, "colour = 3")
    assert "happening" in sentence
    assert "weather" in sentence


def test_no_sentence_is_endless(tmp_path: Path) -> None:
    text = f'[lamps]\non = "{"9" * 10_000}"\n[[happening]]\nwhat = "{"z" * 10_000}"\n'
    for sentence in faults(tmp_path, text):
        assert len(sentence) < 1000


def test_faults_beyond_a_page_are_counted(tmp_path: Path) -> None:
    text = "".join(f"key_{number} = {number}\n" for number in range(200))
    with pytest.raises(ScenarioFaultsError) as told:
        read(tmp_path, text)
    assert len(told.value.faults) == 200
    assert str(told.value).endswith("and 180 more")


def test_a_file_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    (sentence,) = faults(tmp_path, "#" * 300_000)
    assert "allowed is 200000" in sentence


def test_lists_that_stand_in_each_other_without_end_are_told(tmp_path: Path) -> None:
    (sentence,) = faults(tmp_path, f"weather = {{ a = {'[' * 5000}{']' * 5000} }}")
    assert "too deep" in sentence


def test_a_pipe_is_no_scenario(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    with pytest.raises(ScenarioFaultsError, match="it is no file"):
        scenario_of(str(tmp_path / "pipe.toml"), NOW)


@pytest.mark.parametrize("name", ["nine-cages", "season"])
def test_as_many_birds_warm_the_shed_as_there_are(name: str) -> None:
    scenario = scenario_of(name, NOW)
    paired = {bird.id for pair in scenario.pairs for bird in (pair.cock, pair.hen)}
    assert scenario.building.birds == len(paired) + len(scenario.resting) == 18


def test_a_date_is_told_as_it_was_written(tmp_path: Path) -> None:
    (sentence,) = faults(tmp_path, "[[pairs]]\nput_up_on = 1066-10-14")
    assert "pairs.0.put_up_on is 1066-10-14" in sentence
