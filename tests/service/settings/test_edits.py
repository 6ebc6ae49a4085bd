"""Each change that pages can make, carried out over real stores."""

from collections.abc import Callable, Iterator
from datetime import date, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from devices.reading import Quantity
from devices.sensor import Feed, Field, Format
from service.climate.cold_surface import ColdSurface
from service.climate.light_plan import LampSchedule
from service.errors import ConfigurationError, InputError
from service.nests.place import Place, PlaceKind
from service.settings import edits
from service.settings.editing import Edit, SetInFileError, both
from service.settings.written import duration, in_words
from tests.service.settings.editing_shed import EditingShed, editing_in

MINUTE = timedelta(minutes=1)
ADOPTED = edits.adopt(device="th-1", place="shed", interval=MINUTE)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[EditingShed]:
    with editing_in(tmp_path) as opened:
        yield opened


def test_the_shed_gets_a_name_a_place_and_a_zone(shed: EditingShed) -> None:
    found = shed.do(
        edits.shed(
            name="Hazel shed", latitude=53.2, longitude=6.6, timezone=ZoneInfo("Europe/Amsterdam")
        )
    )
    assert found.shed_name == "Hazel shed"
    assert (found.site.latitude, found.site.longitude) == (53.2, 6.6)
    assert str(found.site.timezone) == "Europe/Amsterdam"
    assert [place.name for place in found.places] == ["Hazel shed"]


def test_what_an_edit_of_the_shed_leaves_out_stays_and_none_takes_away(shed: EditingShed) -> None:
    found = shed.do(
        edits.shed(name="Hazel shed", latitude=53.2, longitude=6.6),
        edits.shed(name="Elm shed"),
    )
    assert (found.shed_name, found.site.latitude) == ("Elm shed", 53.2)
    assert shed.do(edits.shed(latitude=None, longitude=None)).site.latitude is None


def test_lamps_are_set_and_taken_away(shed: EditingShed) -> None:
    found = shed.do(edits.lamps(on=time(6, 30), off=time(20, 30), dim=timedelta(minutes=30)))
    assert found.light.schedule is not None
    assert (found.light.schedule.on, found.light.schedule.off) == (time(6, 30), time(20, 30))
    assert found.light.schedule.dim == timedelta(minutes=30)
    assert shed.do(edits.no_lamps()).light.schedule is None


LONGER = {
    date(2026, 2, 10): (time(6), time(21)),
    date(2026, 1, 10): (time(6, 30), time(21)),
}


def test_steps_of_light_are_set_whole_and_dim_as_the_lamps_do(shed: EditingShed) -> None:
    half = timedelta(minutes=30)
    found = shed.do(edits.lamps(on="07:00", off="20:00", dim=half), edits.lamp_steps(LONGER)).light
    assert [step.since for step in found.steps] == [date(2026, 1, 10), date(2026, 2, 10)]
    before, after = found.schedule_on(date(2026, 1, 9)), found.schedule_on(date(2026, 2, 9))
    assert before == LampSchedule(on=time(7), off=time(20), dim=half)
    assert after == LampSchedule(on=time(6, 30), off=time(21), dim=half)
    assert shed.do(edits.lamp_steps({})).light.steps == ()


def test_a_step_of_light_that_the_file_states_stays_and_others_come_beside_it(
    tmp_path: Path,
) -> None:
    stated = {"light_step": [{"from": date(2026, 1, 10), "on": "06:30", "off": "21:00"}]}
    with editing_in(tmp_path, stated) as shed:
        found = shed.do(edits.lamp_steps(LONGER))
        assert [step.since for step in found.light.steps] == sorted(LONGER)
        assert ("light_step", "2026-01-10") in found.fixed
        with pytest.raises(SetInFileError, match="2026-01-10"):
            shed.do(edits.lamp_steps({}))


def test_the_coldest_surface_is_known_by_one_of_two_ways_or_not_at_all(shed: EditingShed) -> None:
    assert shed.do(edits.surface(temperature_factor=0.3)).surface == ColdSurface(
        temperature_factor=0.3
    )
    assert shed.do(edits.surface(below_air_c=4.0)).surface == ColdSurface(below_air_k=4.0)
    assert shed.do(edits.surface()).surface is None


def test_a_heater_is_told_and_taken_away(shed: EditingShed) -> None:
    assert shed.do(edits.heater(5.0)).heater_c == 5.0
    assert shed.do(edits.heater(None)).heater_c is None


def test_a_place_is_made_renamed_and_removed(shed: EditingShed) -> None:
    made = edits.place("flight-1", kind=PlaceKind.FLIGHT, name="Flight", within="shed", order=5)
    found = shed.do(made)
    assert found.places[-1] == Place(
        id="flight-1", kind=PlaceKind.FLIGHT, name="Flight", within="shed", order=5
    )
    assert shed.do(edits.rename_place("flight-1", "Long flight")).places[-1].name == "Long flight"
    gone = shed.do(edits.remove_place("flight-1"))
    assert [place.id for place in gone.places] == ["shed"]


def test_the_shed_that_is_built_in_can_be_renamed(shed: EditingShed) -> None:
    assert shed.do(edits.rename_place("shed", "Old shed")).places[0].name == "Old shed"


def test_a_sender_is_adopted_with_all_its_terms(shed: EditingShed) -> None:
    (sensor,) = shed.do(
        edits.adopt(
            device="th-1",
            place="shed",
            interval="60 s",
            name="By the door",
            measures={"t": Quantity.TEMPERATURE},
            overdue_after=timedelta(minutes=5),
        )
    ).sensors
    assert (sensor.device, sensor.place, sensor.name) == ("th-1", "shed", "By the door")
    assert (sensor.interval, sensor.overdue_after) == (MINUTE, 5 * MINUTE)
    assert sensor.measures == {"t": Quantity.TEMPERATURE}


def test_adopting_into_a_new_place_is_one_change(shed: EditingShed) -> None:
    made = edits.place("box-1", kind=PlaceKind.BOX, name="Box 1", within="shed")
    adopted = edits.adopt(device="th-1", place="box-1", interval=MINUTE)
    found = shed.do(both(made, adopted))
    assert (found.sensors[0].place, found.revision) == ("box-1", 1)


def test_half_of_two_edits_is_never_made(shed: EditingShed) -> None:
    made = edits.place("box-1", kind=PlaceKind.BOX, within="shed")
    with pytest.raises(ConfigurationError):
        shed.do(both(made, edits.adopt(device="th-1", place="box-2", interval=MINUTE)))
    assert [place.id for place in shed.current().places] == ["shed"]


def test_a_sensor_is_changed_in_what_is_told_and_nothing_else(shed: EditingShed) -> None:
    adopted = edits.adopt(
        device="th-1", place="shed", interval=MINUTE, name="Door", overdue_after="5 min"
    )
    (sensor,) = shed.do(adopted, edits.change_sensor("th-1", interval="90 s")).sensors
    assert (sensor.name, sensor.interval, sensor.overdue_after) == (
        "Door",
        timedelta(seconds=90),
        5 * MINUTE,
    )
    (sensor,) = shed.do(edits.change_sensor("th-1", overdue_after=None, name=None)).sensors
    assert (sensor.name, sensor.overdue_after) == ("", timedelta(seconds=270))


def test_a_sensor_that_is_removed_is_set_up_no_more(shed: EditingShed) -> None:
    assert shed.do(ADOPTED, edits.remove_sensor("th-1")).sensors == ()


def test_a_new_sensor_takes_all_terms_of_the_old_one(shed: EditingShed) -> None:
    adopted = edits.adopt(
        device="old",
        place="shed",
        interval=MINUTE,
        name="Door",
        measures={"t": Quantity.TEMPERATURE},
    )
    (sensor,) = shed.do(
        adopted, edits.ignore("new"), edits.replace_sensor(old="old", new="new")
    ).sensors
    assert (sensor.device, sensor.place, sensor.name) == ("new", "shed", "Door")
    assert sensor.measures == {"t": Quantity.TEMPERATURE}
    assert shed.current().ignored == frozenset()


def test_an_ignored_sender_is_heeded_again_once_it_is_adopted(shed: EditingShed) -> None:
    assert shed.do(edits.ignore("th-1")).ignored == {"th-1"}
    assert shed.do(edits.heed("th-1")).ignored == frozenset()
    shed.do(edits.ignore("th-1"), ADOPTED)
    assert shed.do(edits.remove_sensor("th-1")).ignored == frozenset()


def test_a_feed_is_described_described_anew_and_forgotten(shed: EditingShed) -> None:
    table = {
        "topic": "gateway/+",
        "format": "json",
        "device": {"level": 2},
        "fields": [{"pointer": "/t", "quantity": Quantity.TEMPERATURE, "unit": "Cel"}],
    }
    found = shed.do(edits.describe_feed(table))
    assert found.not_in_this_version == ()
    assert found.feeds[-1] == Feed(
        topic="gateway/+",
        format=Format.JSON,
        device_level=2,
        fields=(Field(pointer="/t", quantity=Quantity.TEMPERATURE, unit="Cel"),),
    )
    number = {
        "topic": "gateway/+",
        "format": "number",
        "device": {"name": "eye"},
        "quantity": "illuminance",
        "unit": "lx",
    }
    assert shed.do(edits.describe_feed(number)).feeds[-1].format is Format.NUMBER
    assert len(shed.do(edits.forget_feed("gateway/+")).feeds) == 1


def test_a_broker_is_told_whole(shed: EditingShed, tmp_path: Path) -> None:
    found = shed.do(
        edits.broker(url="mqtts://broker.example", username="shed", password_file="secret")
    )
    assert (found.broker.host, found.broker.tls, found.broker.username) == (
        "broker.example",
        True,
        "shed",
    )
    assert found.broker.password_file == tmp_path / "secret"
    assert found.broker_told
    assert shed.do(edits.broker(url="mqtt://10.0.0.2")).broker.username is None


def test_phones_are_let_in_by_the_address_the_pages_answer_at(shed: EditingShed) -> None:
    assert shed.do(edits.let_in("0.0.0.0")).bind == "0.0.0.0"


REFUSED: dict[str, tuple[Callable[[], Edit], str]] = {
    "a sensor that is not there": (lambda: edits.remove_sensor("th-9"), "there is no sensor th-9"),
    "replacing what is not there": (
        lambda: edits.replace_sensor(old="th-9", new="th-8"),
        "there is no sensor th-9",
    ),
    "replacing by what is set up": (
        lambda: edits.replace_sensor(old="th-1", new="th-1"),
        "th-1 is set up already",
    ),
    "ignoring a sensor": (lambda: edits.ignore("th-1"), "th-1 is set up as a sensor"),
    "forgetting a feed that is not there": (lambda: edits.forget_feed("x/y"), "there is no feed"),
    "a place that is not there": (lambda: edits.remove_place("box-9"), "there is no place box-9"),
    "a place where a sensor is": (lambda: edits.remove_place("shed"), "sensor th-1 is set up"),
    "a hundred cages": (lambda: edits.cages(count=100), "100 cages: allowed are 0 to 99"),
    "boxes below nought": (lambda: edits.cages(count=1, boxes_each=-1), "allowed are 0 to 9"),
}


@pytest.mark.parametrize(("edit", "words"), REFUSED.values(), ids=REFUSED)
def test_what_can_not_be_done_is_said_and_nothing_changes(
    shed: EditingShed, edit: Callable[[], Edit], words: str
) -> None:
    before = shed.do(ADOPTED)
    with pytest.raises(InputError, match=words):
        shed.do(edit())
    assert shed.current() == before
    assert len(shed.records.changes.changes()) == 1


@pytest.mark.parametrize("device", ["a b", "../etc", "a+b", "a#", "", "ä", "x" * 65])
def test_a_device_of_other_signs_is_never_adopted(shed: EditingShed, device: str) -> None:
    with pytest.raises(ConfigurationError, match="a device's name of 1 to 64"):
        shed.do(edits.adopt(device=device, place="shed", interval=MINUTE))
    with pytest.raises(ConfigurationError, match="a device's name of 1 to 64"):
        shed.do(edits.ignore(device))


@pytest.mark.parametrize("place", ["../box", "Box 1", "", "box/1", "-box", "x" * 33])
def test_a_place_of_other_signs_is_never_made(shed: EditingShed, place: str) -> None:
    with pytest.raises(ConfigurationError, match="1 to 32 of a to z"):
        shed.do(edits.place(place, kind=PlaceKind.BOX, within="shed"))


@pytest.mark.parametrize(
    "told",
    [
        timedelta(0),
        timedelta(seconds=1),
        timedelta(seconds=90),
        timedelta(minutes=10),
        timedelta(hours=36),
        timedelta(days=7),
        timedelta(seconds=2.5),
        timedelta(seconds=1234567),
    ],
)
def test_a_duration_is_written_so_that_it_reads_as_itself(told: timedelta) -> None:
    assert duration(in_words(told)) == told
