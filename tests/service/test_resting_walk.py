"""Closing a season changes which limits hold, in both processes, without a restart."""

from datetime import date
from pathlib import Path

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
