"""A heartbeat tells the time, the wall's version, and whether the shed is live."""

import json

from dashboards.pages.live import MOST_OF_ONE, MOST_STREAMS, Streams, heartbeat_event
from dashboards.wall_watch import WallWatch
from service.people.role import Role, Visitor
from tests.dashboards.conftest import client_of
from tests.dashboards.filled_shed import FilledShed
from tests.dashboards.house import browser, people_of, sign_in


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


def test_more_streams_than_can_be_served_are_refused(shed: FilledShed) -> None:
    client = client_of(shed)
    streams: Streams = client.app.state.streams  # type: ignore[attr-defined]
    streams.open = MOST_STREAMS
    assert client.get("/live").status_code == 503


def test_one_tablet_leaves_streams_for_the_others() -> None:
    streams = Streams()
    tablet = Visitor(role=Role.WALL, name="Hall")
    for _ in range(MOST_OF_ONE):
        assert not streams.is_one_too_many(tablet)
        streams.begin(tablet)
    assert streams.is_one_too_many(tablet)
    assert not streams.is_one_too_many(Visitor(role=Role.KEEPER, name="Mara"))
    streams.end(tablet)
    assert not streams.is_one_too_many(tablet)


def test_a_tablet_that_has_as_many_as_it_may_is_refused_another(shed: FilledShed) -> None:
    mara, _ = people_of(shed)
    client = sign_in(browser(shed), shed, mara)
    streams: Streams = client.app.state.streams  # type: ignore[attr-defined]
    streams.of[Visitor(role=Role.KEEPER, name=mara.name)] = MOST_OF_ONE
    answer = client.get("/live")
    assert (answer.status_code, answer.headers["retry-after"]) == (503, "30")


def test_a_stream_ends_when_the_server_stops_and_is_counted_no_more(shed: FilledShed) -> None:
    client = client_of(shed)
    streams: Streams = client.app.state.streams  # type: ignore[attr-defined]
    looks = iter([False, False, True])
    streams.stopping = lambda: next(looks, True)
    answer = client.get("/live")
    assert answer.headers["content-type"].startswith("text/event-stream")
    assert answer.text.count("event: heartbeat") == 1
    assert streams.open == 0
