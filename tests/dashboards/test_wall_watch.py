"""The wall follows what is changed on pages, though nothing was measured since."""

import time
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from dashboards.today_facts import today_view
from dashboards.wall_watch import LOOK_EVERY_S, WallWatch
from service.climate.outlook.outlook_json import to_json
from service.clock import FixedClock
from service.people.role import Role, Visitor
from service.store.outlook_store import KeptOutlook
from tests.dashboards.filled_shed import NOW, open_shed
from tests.dashboards.views.test_tonight_words import COLD, NIGHT

KEEPER = Visitor(role=Role.KEEPER, name="Mara")


def test_the_wall_is_drawn_anew_when_a_limit_is_changed(tmp_path: Path) -> None:
    shed = open_shed(tmp_path)
    shed.fill_air()
    watch = WallWatch(shed.services())
    before = watch.current()
    limits = tuple(
        replace(limit, high=70.0) if limit.id == "damp" else limit for limit in shed.settings.limits
    )
    shed.settings = replace(shed.settings, limits=limits, revision=1)
    time.sleep(LOOK_EVERY_S)
    assert watch.current().version != before.version
    shed.close()


def test_an_outlook_stands_on_the_wall_and_in_todays_list_while_its_night_lasts(
    tmp_path: Path,
) -> None:
    clock = FixedClock(NOW - timedelta(minutes=1))
    shed = open_shed(tmp_path, clock=clock)
    shed.fill_air(hours=1)
    clock.set(NOW)
    shed.fill_air(hours=0.01)  # the newest arrives last
    shed.records.outlook.put_outlook(
        KeptOutlook(night=NIGHT.evening, issued_at=COLD.said.issued_at, body=to_json(COLD.said))
    )
    snapshot = WallWatch(shed.services()).current()
    assert snapshot.view.verdict.sentences == ("Cold later",)
    assert snapshot.view.second.sentences == ("Tonight 3 to 7°",)
    channel = snapshot.view.channel
    assert channel is not None
    assert channel.ahead is not None
    assert channel.ahead.crosses
    listed = today_view(shed.services(), snapshot, KEEPER, at=None)
    assert listed.tonight.startswith("Tonight's low: 4.5° most likely")
    clock.set(NIGHT.until)
    over = WallWatch(shed.services()).current()
    assert "Tonight" not in over.view.second.sentences[0]
    shed.close()
