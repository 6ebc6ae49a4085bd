"""What a witness writes of days that are known minute by minute."""

import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from simulated_feeds.day import (
    DAY,
    MINUTE,
    AirDay,
    BoxAir,
    Event,
    Kind,
    NestDay,
    ShedDay,
    Stay,
    Who,
)
from simulated_feeds.happening import Happening, What
from simulated_feeds.records.truth import LISTS, Head
from simulated_feeds.records.witness import TRUTH_FILE, witnessing
from simulated_feeds.scenario_files.reading import scenario_of
from simulated_feeds.scenario_files.scenario import Follows, Scenario
from tests.simulated_feeds.records.still_day import NOON, air_day, level, lit_until, shed_day

HOUR = 60 * MINUTE

CALM = replace(
    scenario_of("quiet-week", datetime(2026, 1, 1, tzinfo=UTC)),
    start=NOON,
    origin=NOON + 2 * DAY,
    happenings=(
        Happening(what=What.COLD_NIGHT, since=NOON + 2 * HOUR, until=NOON + 9 * HOUR),
        Happening(what=What.HEATER_FAILS, since=NOON + HOUR, until=NOON + 9 * HOUR),
        Happening(what=What.LAMPS_FAIL, since=NOON + 2 * DAY, until=NOON + 3 * DAY),
        Happening(what=What.LAMPS_ON, since=NOON - DAY, until=NOON),
    ),
    follows=(
        Follows(alarm="cold-night", place="shed", since=NOON + 2 * HOUR, until=NOON + DAY),
        Follows(alarm="hot", place="shed", since=NOON + DAY, until=NOON + 3 * DAY),
    ),
)


def told(folder: Path, days: Sequence[ShedDay], scenario: Scenario = CALM) -> dict[str, Any]:
    with witnessing(scenario, folder) as witness:
        assert len(list(witness.days(days))) == len(days)
        witness.write({})
    found: dict[str, Any] = json.loads((folder / TRUTH_FILE).read_text())
    return found


def two_days(first: AirDay, second: AirDay | None = None) -> list[ShedDay]:
    return [shed_day(first), shed_day(second or air_day(NOON + DAY))]


def test_truth_has_its_head_and_every_list_even_an_empty_one(tmp_path: Path) -> None:
    found = told(tmp_path, two_days(air_day()))
    birds = {"planted", "clutches", "eggs", "chicks"}  # others tell these
    assert set(found) == set(Head.__annotations__) | set(LISTS) - birds


def test_rows_have_the_keys_of_the_schema(tmp_path: Path) -> None:
    nest = NestDay(
        at=NOON,
        box="box-1",
        stays=(Stay(who=Who.HEN, since=NOON, until=NOON + MINUTE),),
        events=(Event(at=NOON, kind=Kind.EGG_LAID, box="box-1", egg="1.1.1", grams=2.1),),
    )
    found = told(tmp_path, [shed_day(air_day(), (nest,)), shed_day(air_day(NOON + DAY))])
    for name in ("hours", "nights", "lamps", "bouts", "events", "faults", "must_follow"):
        assert found[name], name
        for row in found[name]:
            assert set(row) == set(LISTS[name].__annotations__), name


def test_every_full_hour_is_told(tmp_path: Path) -> None:
    hours = told(tmp_path, two_days(air_day()))["hours"]
    assert len(hours) == 48
    assert (hours[0]["t"], hours[-1]["t"]) == ("2026-03-02T12:00:00Z", "2026-03-04T11:00:00Z")
    # 900 Pa at 12 °C: of 1,402.6 Pa (PsychroLib 2.5.0) 64.2 %; Tetens is within 0.5 %.
    assert hours[0]["shed_rh_pct"] == pytest.approx(64.2, abs=0.4)


def test_a_night_tells_its_low_and_when(tmp_path: Path) -> None:
    cooling = level(12.0)
    cooling[700] = 3.5
    cooling[690:711] = np.minimum(cooling[690:711], 4.5)
    nights = told(tmp_path, two_days(air_day(temperature_c=cooling)))["nights"]
    # Dark from 20:00 UTC; the second night ends at 06:00 UTC before the scenario does.
    assert [night["night"] for night in nights] == ["2026-03-02", "2026-03-03"]
    assert (nights[0]["from"], nights[0]["to"]) == ("2026-03-02T20:00:00Z", "2026-03-03T06:00:00Z")
    assert (nights[0]["low_c"], nights[0]["low_at"]) == (3.5, "2026-03-02T23:40:00Z")
    assert nights[0]["hours_below"] == {"5.0": round(21 / 60, 3)}


def test_a_night_tells_how_near_the_dew_was_and_how_long_water_stood(tmp_path: Path) -> None:
    water = level(0.0)
    water[500:530] = 4.0
    water[1200:1300] = 4.0  # by day
    night = told(tmp_path, two_days(air_day(condensate_g=water)))["nights"][0]
    # PsychroLib 2.5.0: 859.60 Pa has its dew point at 4.79 °C, 900 Pa at 5.45 °C.
    assert night["dew_margin_min_c"] == pytest.approx(12.0 - 5.45, abs=0.1)
    assert night["surface_margin_min_c"] == pytest.approx(8.0 - 5.45, abs=0.1)
    assert night["condensation_min"] == 30


def test_a_night_tells_the_low_of_every_box(tmp_path: Path) -> None:
    warm = BoxAir(temperature_c=level(18.0), vapour_pa=level(1200.0))
    night = told(
        tmp_path,
        two_days(air_day(boxes={"box-2": warm}), air_day(NOON + DAY, boxes={"box-2": warm})),
    )["nights"][0]
    assert night["boxes"]["box-2"]["low_c"] == 18.0


def test_lamps_are_told_from_lit_to_dark_over_the_border_of_days(tmp_path: Path) -> None:
    lamps = told(tmp_path, two_days(air_day()))["lamps"]
    assert lamps == [
        {"from": "2026-03-02T12:00:00Z", "to": "2026-03-02T20:00:00Z"},
        {"from": "2026-03-03T06:00:00Z", "to": "2026-03-03T20:00:00Z"},
        {"from": "2026-03-04T06:00:00Z", "to": "2026-03-04T12:00:00Z"},
    ]


def test_a_stay_over_the_border_of_two_days_is_one_bout(tmp_path: Path) -> None:
    def nest(number: int, since: int, until: int) -> NestDay:
        at = NOON + number * DAY
        stay = Stay(who=Who.HEN, since=at + since * MINUTE, until=at + until * MINUTE)
        return NestDay(at=at, box="box-1", stays=(stay,))

    days = [
        shed_day(air_day(), (nest(0, 1400, 1440),)),
        shed_day(air_day(NOON + DAY), (nest(1, 0, 25),)),
    ]
    (bout,) = told(tmp_path, days)["bouts"]
    assert bout == {
        "box": "box-1",
        "who": "hen",
        "from": "2026-03-03T11:20:00Z",
        "to": "2026-03-03T12:25:00Z",
    }


def test_what_happens_after_the_present_is_not_told(tmp_path: Path) -> None:
    short = replace(CALM, origin=NOON + DAY + 90 * MINUTE)
    late = Event(at=NOON + 2 * DAY - MINUTE, kind=Kind.HATCHED, box="box-1", egg="1.1.1")
    nest = NestDay(at=NOON + DAY, box="box-1", events=(late,))
    found = told(tmp_path, [shed_day(air_day()), shed_day(air_day(NOON + DAY), (nest,))], short)
    assert len(found["hours"]) == 26
    assert len(found["nights"]) == 1
    assert found["events"] == []


def test_days_after_the_present_are_not_asked_for(tmp_path: Path) -> None:
    def days() -> Iterator[ShedDay]:
        for number in range(3):
            yield shed_day(air_day(NOON + number * DAY))

    with witnessing(CALM, tmp_path) as witness:
        assert len(list(witness.days(days()))) == 2


def test_faults_and_what_must_follow_are_told_as_far_as_the_recording_goes(tmp_path: Path) -> None:
    found = told(tmp_path, two_days(air_day()))
    assert [fault["what"] for fault in found["faults"]] == ["heater fails", "cold night"]
    assert [follows["alarm"] for follows in found["must_follow"]] == ["cold-night"]


def test_light_that_never_goes_out_has_no_night(tmp_path: Path) -> None:
    lit = [air_day(NOON + n * DAY, light_lx=lit_until(0, 0)) for n in range(2)]
    assert told(tmp_path, two_days(*lit))["nights"] == []


def test_times_are_utc(tmp_path: Path) -> None:
    found = told(tmp_path, two_days(air_day()))
    assert datetime.fromisoformat(found["start"]).utcoffset() == timedelta(0)


def test_events_of_all_boxes_are_in_time_order(tmp_path: Path) -> None:
    def nest(box: str, minute: int) -> NestDay:
        laid = Event(at=NOON + minute * MINUTE, kind=Kind.EGG_LAID, box=box, egg="1.1.1")
        return NestDay(at=NOON, box=box, events=(laid,))

    nests = (nest("box-1", 50), nest("box-2", 10))
    found = told(tmp_path, [shed_day(air_day(), nests), shed_day(air_day(NOON + DAY))])
    assert [event["box"] for event in found["events"]] == ["box-2", "box-1"]
