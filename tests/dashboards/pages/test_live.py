"""A heartbeat tells the time, the wall's version, and whether the shed is live."""

import json

from dashboards.pages.live import heartbeat_event
from dashboards.wall_watch import WallWatch
from tests.dashboards.filled_shed import FilledShed


def told(event: str) -> dict[str, object]:
    kind, data, *rest = event.split("\n")
    assert kind == "event: heartbeat"
    assert rest == ["", ""]
    found: dict[str, object] = json.loads(data.removeprefix("data: "))
    return found


def test_a_heartbeat_is_one_event_with_the_servers_time(shed: FilledShed) -> None:
    beat = told(heartbeat_event(WallWatch(shed.services()).current()))
    assert beat["clock"] == "14:30"
    assert beat["live"] is True
    assert beat["now"] == "2026-04-21T12:30:00+00:00"


def test_a_heartbeat_is_not_live_when_watch_is_dead(shed: FilledShed) -> None:
    shed.heartbeat = lambda: None
    assert told(heartbeat_event(WallWatch(shed.services()).current()))["live"] is False


def test_the_version_stays_while_nothing_changes(shed: FilledShed) -> None:
    watch = WallWatch(shed.services())
    first = watch.current()
    watch._snapshot = None
    assert watch.current().version == first.version


def test_the_version_changes_with_what_is_heard(shed: FilledShed) -> None:
    first = WallWatch(shed.services()).current().version
    shed.heartbeat = lambda: None
    assert WallWatch(shed.services()).current().version != first
