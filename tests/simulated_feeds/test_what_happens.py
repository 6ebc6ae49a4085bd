"""What a scenario says happens truly does: in the shed, in the nests, in the messages."""

import json
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from itertools import takewhile
from typing import Any

import numpy as np
import pytest

from simulated_feeds.day import MINUTE, AirDay, NestDay, ShedDay, Who
from simulated_feeds.days import Shed
from simulated_feeds.happening import Happening, What
from simulated_feeds.scenario_files.reading import scenario_of
from simulated_feeds.scenario_files.scenario import Scenario
from simulated_feeds.stream import Sent, messages

NOW = datetime(2026, 11, 25, 14, 3, tzinfo=UTC)
DARK_LX = 20.0


class Lived:
    """A scenario lived through once, with its shed and its messages."""

    def __init__(self, name: str) -> None:
        self.scenario: Scenario = scenario_of(name, NOW)
        self.shed = Shed(self.scenario)
        origin = self.scenario.origin
        self.days: list[ShedDay] = list(
            takewhile(lambda day: day.air.at < origin, self.shed.days())
        )

    def happening(self, what: What) -> Happening:
        (found,) = [one for one in self.scenario.happenings if one.what is what]
        return found

    def minutes(self, happening: Happening, of: Callable[[AirDay], Any]) -> Any:
        """A column of the air, in the minutes in which something happens."""
        whole = np.concatenate([of(day.air) for day in self.days])
        first, end = (
            (at - self.scenario.start) // MINUTE for at in (happening.since, happening.until)
        )
        return whole[max(0, first) : end]

    def nests(self, box: str) -> Iterator[NestDay]:
        return (nest for day in self.days for nest in day.nests if nest.box == box)

    @property
    def sent(self) -> list[Sent]:
        return list(
            messages(
                self.days,
                self.scenario.senders,
                seed=self.scenario.seed,
                happenings=self.scenario.happenings,
            )
        )

    def stamps(self, device: str) -> list[tuple[datetime, datetime]]:
        """When a sender was heard, and what time it told."""
        return [
            (sent.at, datetime.fromtimestamp(json.loads(sent.payload)[0]["bt"], UTC))
            for sent in self.sent
            if f"/{device}/" in sent.topic
        ]


@pytest.fixture(scope="module")
def lived() -> Callable[[str], Lived]:
    return lru_cache(maxsize=None)(Lived)


def test_lamps_that_fail_leave_the_shed_dark(lived: Callable[[str], Lived]) -> None:
    found = lived("lamps-fail")
    fails = found.happening(What.LAMPS_FAIL)
    assert found.minutes(fails, lambda air: air.lamp_share).max() == 0.0
    # In a whole day without lamps there is some daylight, and less than the lamps give.
    assert found.minutes(fails, lambda air: air.light_lx).max() < 250.0


def test_lamps_at_midnight_light_the_shed(lived: Callable[[str], Lived]) -> None:
    found = lived("lamps-at-midnight")
    on = found.happening(What.LAMPS_ON)
    assert found.minutes(on, lambda air: air.light_lx).min() > DARK_LX
    before = Happening(what=What.LAMPS_ON, since=on.since - timedelta(hours=1), until=on.since)
    assert found.minutes(before, lambda air: air.light_lx).max() < DARK_LX


def test_a_power_cut_takes_lamps_and_heater(lived: Callable[[str], Lived]) -> None:
    found = lived("power-cut")
    cut = found.happening(What.POWER_CUT)
    for of in (
        lambda air: air.mains,
        lambda air: air.lamp_share,
        lambda air: air.heater_w,
    ):
        assert found.minutes(cut, of).max() == 0.0
    warmth = found.minutes(cut, lambda air: air.temperature_c)
    assert warmth[-1] < warmth[0] - 2.0


def test_a_damp_night_wets_the_coldest_surface(lived: Callable[[str], Lived]) -> None:
    found = lived("damp-night")
    damp = found.happening(What.DAMP_NIGHT)
    assert found.minutes(damp, lambda air: air.condensate_g).max() > 10.0


def test_water_stands_on_no_surface_where_no_scenario_wants_it(
    lived: Callable[[str], Lived],
) -> None:
    for name in ("quiet-week", "cold-night", "power-cut", "lamps-fail", "sensor-stops"):
        days = lived(name).days
        assert max(float(day.air.condensate_g.max()) for day in days) == 0.0, name


def test_a_heat_wave_leads_the_air_outdoors_to_its_amount(lived: Callable[[str], Lived]) -> None:
    found = lived("heat-wave")
    wave = found.happening(What.HEAT_WAVE)
    hottest = found.minutes(wave, lambda air: air.outdoors.temperature_c).max()
    assert hottest == pytest.approx(wave.amount, abs=1.0)
    assert found.minutes(wave, lambda air: air.temperature_c).max() > 28.0


def test_a_cold_night_leads_the_air_outdoors_to_its_amount(lived: Callable[[str], Lived]) -> None:
    found = lived("cold-night")
    night = found.happening(What.COLD_NIGHT)
    coldest = found.minutes(night, lambda air: air.outdoors.temperature_c).min()
    assert coldest == pytest.approx(night.amount, abs=1.0)


def test_a_hen_off_her_eggs_is_not_in_the_box(lived: Callable[[str], Lived]) -> None:
    found = lived("off-her-eggs")
    off = found.happening(What.OFF_HER_EGGS)
    stays = [stay for nest in found.nests("box-2") for stay in nest.stays if stay.who is Who.HEN]
    assert not [stay for stay in stays if stay.since < off.until and stay.until > off.since]
    an_hour_before = off.since - timedelta(hours=1)
    assert [stay for stay in stays if stay.since <= an_hour_before < stay.until]
    # Her eggs lie there meanwhile, and cool to the shed's air.
    assert all(nest.eggs_g.min() > 0 for nest in found.nests("box-2"))


def test_a_hen_that_does_not_clear_lays_into_the_bedding(lived: Callable[[str], Lived]) -> None:
    found = lived("does-not-clear")
    truths = {clutch.box: clutch for clutch in found.shed.aviary.truths()}
    assert {box for box, clutch in truths.items() if not clutch.cleared} == {"box-5"}
    assert truths["box-5"].eggs
    left = {box: clutch.bedding_left_g for box, clutch in truths.items()}
    deep = left.pop("box-5")
    assert deep > 2 * max(left.values())
    # It lies there until the keeper takes out what she should have.
    assert next(found.nests("box-5")).bedding_g[0] == pytest.approx(deep, abs=2.0)


def test_a_sensor_that_stops_is_heard_no_more(lived: Callable[[str], Lived]) -> None:
    found = lived("sensor-stops")
    stops = found.happening(What.STOPS)
    heard = [at for at, _ in found.stamps("th-box-4")]
    assert not [at for at in heard if stops.since <= at < stops.until]
    assert any(at < stops.since for at in heard)


def test_a_backlog_comes_late_with_the_times_of_its_samples(
    lived: Callable[[str], Lived],
) -> None:
    found = lived("backlog")
    backlog = found.happening(What.BACKLOG)
    stamps = found.stamps("th-box-4")
    assert not [at for at, _ in stamps if backlog.since <= at < backlog.until]
    late = [told for at, told in stamps if at - told > timedelta(minutes=5)]
    # Six hours at a message every two minutes.
    assert len(late) == pytest.approx(180, abs=3)
    assert all(backlog.since - 2 * MINUTE <= told < backlog.until for told in late)


def test_a_clock_jump_moves_the_times_that_are_told(lived: Callable[[str], Lived]) -> None:
    found = lived("clock-jump")
    wrong = found.happening(What.WRONG_CLOCK)
    ahead = {
        round((told - at).total_seconds() / 3600)
        for at, told in found.stamps("th-box-2")
        if wrong.holds(at)
    }
    assert ahead == {3}
    others = [abs(told - at) for at, told in found.stamps("th-shed")]
    assert max(others) < MINUTE
