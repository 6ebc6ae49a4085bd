"""Closing a season changes which limits hold, in both processes, without a restart."""

from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any
from uuid import uuid4

from service.clock import FixedClock
from service.nest_check_path import NestCheckPath
from service.nests.nest import EggFate, EggLost, NestCheck, Sex
from service.settings.load import read_file
from service.wiring import open_shed, revisions, settings_now

FILE = """
[[place]]
id = "shed"
kind = "shed"
[[place]]
id = "flight"
kind = "flight"
in = "shed"
[[place]]
id = "cage-1"
kind = "cage"
in = "shed"
[[place]]
id = "box-1"
kind = "box"
in = "cage-1"
[[limit]]
id = "hot"
place = "shed"
quantity = "temperature"
high = 30
[[limit]]
id = "box-damp"
place = "box-1"
quantity = "relative_humidity"
high = 85
during = "breeding"
[[limit]]
id = "frost"
place = "flight"
quantity = "temperature"
low = 1
during = "resting"
"""


def test_limits_follow_the_season_and_both_processes_are_told(tmp_path: Path) -> None:
    (tmp_path / "clutchweather.toml").write_text(FILE)
    stated = read_file(None, tmp_path)
    settings, stores = open_shed(stated, tmp_path, writer=True)
    records = stores.records
    try:
        held = {limit.id for limit in settings.limits}
        assert held == {"hot", "box-damp"}  # no season was told: the shed is taken to breed
        before = revisions(records)
        season = records.seasons.open("2026", date(2026, 2, 1))
        assert revisions(records) == before
        records.seasons.close(season.id, on=date(2026, 9, 1), by=None, tasks=[])
        assert revisions(records) != before
        resting = settings_now(stated, tmp_path, records)
        assert {limit.id for limit in resting.limits} == {"hot", "frost"}
        records.seasons.reopen(season.id)
        assert settings_now(stated, tmp_path, records).limits == settings.limits
    finally:
        stores.close()


def test_limits_of_breeding_hold_for_a_late_clutch_while_the_others_rest(tmp_path: Path) -> None:
    (tmp_path / "clutchweather.toml").write_text(FILE)
    stated = read_file(None, tmp_path)
    _, stores = open_shed(stated, tmp_path, writer=True)
    records = stores.records
    try:
        season = records.seasons.open("2026", date(2026, 2, 1))
        records.seasons.close(season.id, on=date(2026, 9, 1), by=None, tasks=[])
        before = revisions(records)
        book = records.nest_book
        cock, hen = book.add_bird(sex=Sex.COCK), book.add_bird(sex=Sex.HEN)
        book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=date(2026, 9, 2))
        path = NestCheckPath(book, FixedClock(datetime(2026, 9, 20, tzinfo=UTC)))
        path.record(look(5, eggs=1))
        assert revisions(records) != before
        held = {limit.id for limit in settings_now(stated, tmp_path, records).limits}
        assert held == {"hot", "frost", "box-damp"}
        path.record(look(15, eggs=0, lost=(EggLost(number=1, fate=EggFate.CLEAR),)))
        held = {limit.id for limit in settings_now(stated, tmp_path, records).limits}
        assert held == {"hot", "frost"}
    finally:
        stores.close()


def look(day: int, **told: Any) -> NestCheck:
    at = datetime(2026, 9, day, 8, tzinfo=UTC)
    return NestCheck(form_id=uuid4(), box="box-1", at=at, chicks=0, **told)
