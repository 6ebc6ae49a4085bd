"""The wall follows what is changed on pages, though nothing was measured since."""

import time
from dataclasses import replace
from pathlib import Path

from dashboards.wall_watch import LOOK_EVERY_S, WallWatch
from tests.dashboards.filled_shed import open_shed


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
