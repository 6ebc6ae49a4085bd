"""Which of the pages' settings are in force beside a file that states something else."""

import copy
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.settings.in_force import settings_of
from service.settings.settings import Settings
from service.settings.stated import Stated
from service.store.kept_settings import Kept

DATA = Path("/nowhere")

KEPT: dict[str, Any] = {
    "shed": {"name": "Hazel shed", "latitude": 53.2, "longitude": 6.6, "timezone": "UTC"},
    "light": {"on": "06:30", "off": "20:30", "dim": "30 min"},
    "place": [
        {"id": "shed", "kind": "shed"},
        {"id": "cage-1", "kind": "cage", "in": "shed"},
        {"id": "box-1", "kind": "box", "in": "cage-1", "name": "Box 1"},
    ],
    "sensor": [
        {"device": "th-shed", "place": "shed", "interval": "60 s", "name": "By the door"},
        {"device": "th-box", "place": "box-1", "interval": "60 s"},
    ],
    "feed": [{"topic": "plain/lamp", "format": "senml"}],
    "ignored": [{"device": "neighbour"}],
    "limit": [{"id": "cold", "place": "shed", "quantity": "temperature", "low": 5.0}],
}


def settings(kept: dict[str, Any], file: dict[str, Any] | None = None) -> Settings:
    stated = Stated(document=file or {}, file=Path("/etc/shed.toml") if file else None)
    return settings_of(stated, DATA, Kept(document=kept, revision=7))


def changed(path: tuple[str | int, ...], value: object) -> dict[str, Any]:
    """KEPT with another value at one place."""
    document = copy.deepcopy(KEPT)
    at: Any = document
    for step in path[:-1]:
        at = at[step]
    at[path[-1]] = value
    return document


def test_what_was_set_on_pages_is_in_force_without_a_file() -> None:
    found = settings(KEPT)
    assert found.faults == ()
    assert found.fixed == frozenset()
    assert found.revision == 7
    assert found.shed_name == "Hazel shed"
    assert [place.id for place in found.places] == ["shed", "cage-1", "box-1"]
    assert [(one.device, one.name) for one in found.sensors] == [
        ("th-shed", "By the door"),
        ("th-box", ""),
    ]
    assert found.ignored == {"neighbour"}
    assert found.limits_built_in


def test_what_the_file_states_is_fixed_and_wins() -> None:
    file = {
        "shed": {"name": "Elm shed"},
        "sensor": [{"device": "th-box", "place": "shed", "interval": "5 min"}],
        "place": [{"id": "shed", "kind": "shed"}],
    }
    found = settings(KEPT, file)
    assert found.faults == ()
    assert found.fixed == {("shed", "name"), ("sensor", "th-box"), ("place", "shed")}
    assert found.shed_name == "Elm shed"
    assert found.site.latitude == 53.2
    places = {sensor.device: sensor.place for sensor in found.sensors}
    assert places == {"th-shed": "shed", "th-box": "shed"}


@pytest.mark.parametrize(
    ("file", "told"), [({}, False), ({"broker": {"url": "mqtt://10.0.0.1"}}, True)]
)
def test_whether_a_broker_was_named_is_known(file: dict[str, Any], told: bool) -> None:
    assert settings({}, file).broker_told is told


def test_where_the_stores_and_the_port_are_is_never_taken_from_pages() -> None:
    kept = {"store": {"readings": "sqlite:///other.db"}, "pages": {"port": 99, "bind": "::"}}
    found = settings(kept)
    assert (found.readings_file, found.port) == (DATA / "readings.db", 8460)
    assert found.bind == "::"
    assert found.faults == ()


FAULTS: dict[str, tuple[dict[str, Any], str, set[str]]] = {
    "an interval of a sensor": (
        changed(("sensor", 1, "interval"), "soon"),
        'sensor[2].interval = "soon" (of "th-box")',
        {"th-shed"},
    ),
    "a key that only refines a sensor": (
        changed(("sensor", 1, "overdue_after"), "1 s"),
        'sensor[2].overdue_after = "1 s" (of "th-box")',
        {"th-shed", "th-box"},
    ),
    "an unknown key": (
        changed(("sensor", 0, "colour"), "red"),
        "sensor[1].colour",
        {"th-shed", "th-box"},
    ),
    "where a place stands": (
        changed(("place", 2, "in"), "attic"),
        'place[3].in = "attic" (of "box-1")',
        {"th-shed", "th-box"},
    ),
    "the kind of a place, which its sensor depends on": (
        changed(("place", 2, "kind"), "hammock"),
        'place[3].kind = "hammock" (of "box-1")',
        {"th-shed"},
    ),
    "half of where the shed is": (
        {**KEPT, "shed": {"name": "Hazel shed", "latitude": 53.2}},
        "shed.longitude",
        {"th-shed", "th-box"},
    ),
    "a time of the lamps": (
        changed(("light", "off"), "late"),
        'light.off = "late"',
        {"th-shed", "th-box"},
    ),
    "a feed": (
        changed(("feed", 0, "format"), "runes"),
        'feed[1].format = "runes"',
        {"th-shed", "th-box"},
    ),
    "a table that nobody knows": (
        {**KEPT, "zebra": {"a": 1}},
        "zebra",
        {"th-shed", "th-box"},
    ),
    "a list that is none": (
        {**KEPT, "limit": "none"},
        "limit",
        {"th-shed", "th-box"},
    ),
    "an entry that is none": (
        {**KEPT, "ignored": ["neighbour"]},
        "ignored[1]",
        {"th-shed", "th-box"},
    ),
    "one name twice": (
        {**KEPT, "sensor": [*KEPT["sensor"], KEPT["sensor"][0]]},
        "sensor[3].device",
        {"th-shed", "th-box"},
    ),
}


@pytest.mark.parametrize(("kept", "told", "watched"), FAULTS.values(), ids=FAULTS)
def test_an_entry_at_fault_is_told_and_the_others_go_on_being_watched(
    kept: dict[str, Any], told: str, watched: set[str]
) -> None:
    found = settings(kept)
    assert found.faults[0].startswith(f"settings made on pages: {told}")
    assert all("not in force" in fault for fault in found.faults)
    assert {sensor.device for sensor in found.sensors} == watched
    assert found.shed_name == "Hazel shed"


def test_a_place_that_the_file_no_longer_has_leaves_its_sensor_out_and_no_other() -> None:
    kept = {"sensor": KEPT["sensor"]}
    file = {"place": [{"id": "shed", "kind": "shed"}]}
    found = settings(kept, file)
    assert [sensor.device for sensor in found.sensors] == ["th-shed"]
    assert len(found.faults) == 1


def test_what_is_left_out_is_in_force_again_once_the_file_agrees() -> None:
    kept = {"sensor": KEPT["sensor"]}
    box = {"id": "box-1", "kind": "box"}
    found = settings(kept, {"place": [{"id": "shed", "kind": "shed"}, box]})
    assert [sensor.device for sensor in found.sensors] == ["th-shed", "th-box"]


def test_places_of_the_pages_never_make_the_file_faulty() -> None:
    # The file's sensor stands in the shed that is built in; the pages know another shed.
    file = {"sensor": [{"device": "th-file", "place": "shed", "interval": "60 s"}]}
    kept = {
        "place": [{"id": "barn", "kind": "shed"}, {"id": "loft", "kind": "shed"}],
        "sensor": [{"device": "th-page", "place": "shed", "interval": "60 s"}],
        "shed": {"name": "Hazel"},
    }
    found = settings(kept, file)
    assert {sensor.device for sensor in found.sensors} == {"th-file", "th-page"}
    assert found.faults
    assert found.shed_name == "Hazel"


def test_kept_lamps_give_way_to_the_file_that_dims_for_longer() -> None:
    file = {"light": {"dim": "8 h"}}
    found = settings({"light": {"on": "06:30", "off": "20:30"}}, file)
    assert found.light.schedule is None
    assert found.faults


_JUNK = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.text(max_size=5)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=5), inner, max_size=3)
    ),
    max_leaves=6,
)
_SPOTS = st.sampled_from(
    [
        ("shed",),
        ("light", "dim"),
        ("place",),
        ("place", 1),
        ("place", 2, "in"),
        ("sensor", 0),
        ("sensor", 1, "measures"),
        ("feed", 0, "device"),
        ("limit", 0, "low"),
        ("ignored",),
        ("broker",),
    ]
)


@given(spots=st.lists(st.tuples(_SPOTS, _JUNK), max_size=3))
def test_junk_among_what_is_kept_never_stops_the_service(
    spots: list[tuple[tuple[str | int, ...], object]],
) -> None:
    document = copy.deepcopy(KEPT)
    for path, value in spots:
        at: Any = document
        try:
            for step in path[:-1]:
                at = at[step]
            at[path[-1]] = value
        except (TypeError, LookupError, AttributeError):
            continue
    file = {"sensor": [{"device": "th-file", "place": "shed", "interval": "60 s"}]}
    found = settings(document, file)
    assert "th-file" in {sensor.device for sensor in found.sensors}


@given(junk=_JUNK)
def test_junk_in_one_sensor_leaves_the_other_watched(junk: object) -> None:
    document = copy.deepcopy(KEPT)
    document["sensor"][1] = junk
    assert "th-shed" in {sensor.device for sensor in settings(document).sensors}
