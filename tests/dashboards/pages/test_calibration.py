"""Calibrating on pages: over real stores and the real walk of a reading, no script."""

import re
from collections.abc import Iterator
from datetime import timedelta
from html import unescape
from pathlib import Path

import pytest

from devices.reading import Quantity
from service.alarms.alarm import Alarm, AlarmState
from service.climate.salts import Salt, humidity_above
from service.rules.limit import Priority
from service.store.kept_settings import Change
from tests.dashboards.conftest import TestClient, client_of
from tests.dashboards.filled_shed import NOW
from tests.dashboards.kept_shed import KeptShed, open_kept_shed

TOPIC = "clutchweather/th-9/senml"
PAGE = "/sensors/calibration?device=th-9"
RH = Quantity.RELATIVE_HUMIDITY
SENSOR: dict[str, object] = {
    "place": [{"id": "shed", "kind": "shed", "name": "Shed"}],
    "sensor": [{"device": "th-9", "place": "shed", "interval": "60 s"}],
}


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[KeptShed]:
    kept = open_kept_shed(tmp_path, SENSOR)
    yield kept
    kept.close()


@pytest.fixture
def client(shed: KeptShed) -> TestClient:
    return client_of(shed)


def hear(shed: KeptShed, *, humidity: float = 61.0, warmth: float = 20.0, ago: float = 12) -> None:
    payload = (
        f'[{{"bn":"th-9:","n":"temperature","u":"Cel","v":{warmth}}},'
        f'{{"n":"relative_humidity","u":"%RH","v":{humidity}}}]'
    )
    shed.hear(TOPIC, payload, seconds_ago=ago)


def words_of(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def read_at(page: str, quantity: Quantity) -> str:
    found = re.search(
        rf'name="quantity" value="{quantity}">\s*<input type="hidden" '
        r'name="read_at" value="([^"]+)"',
        page,
    )
    assert found is not None
    return found[1]


def offset(client: TestClient, reference: str, quantity: Quantity = RH) -> str:
    """Fill in the form of a reference as a browser would; the page that comes of it."""
    at = read_at(client.get(PAGE).text, quantity)
    told = {"device": "th-9", "quantity": quantity.value, "read_at": at, "reference": reference}
    answer = client.post("/sensors/calibration/offset", data=told)
    return str((client.get(PAGE) if answer.status_code == 303 else answer).text)


def start_jar(
    client: TestClient, shed: KeptShed, salt: Salt, *, hours: float = 14, reads: float
) -> None:
    """Put it in, so many hours ago, and let it tell the same ever since."""
    shed.clock.set(NOW - timedelta(hours=hours))
    client.post("/sensors/calibration/salt", data={"device": "th-9", "salt": salt.value})
    shed.clock.set(NOW)
    for minutes in range(130, -1, -1):
        hear(shed, humidity=reads, ago=60 * minutes)


def take(client: TestClient, how: str = "offset") -> str:
    answer = client.post("/sensors/calibration/take", data={"device": "th-9", "how": how})
    return str((client.get(PAGE) if answer.status_code == 303 else answer).text)


# A reference beside it.


def test_a_reference_corrects_what_comes_from_now_on(shed: KeptShed, client: TestClient) -> None:
    hear(shed, humidity=61.0)
    told = words_of(offset(client, "58,5"))
    assert "61.0 % is shown as 58.5 %" in told
    assert "offset: a reference beside it" in told
    made = shed.stores.records.calibrations.calibrations()[0]
    assert made.correction.offset == pytest.approx(-2.5)
    assert made.correction.since == NOW


def test_the_next_value_is_corrected_and_keeps_its_raw_one(
    shed: KeptShed, client: TestClient
) -> None:
    hear(shed, humidity=61.0)
    offset(client, "58.5")
    hear(shed, humidity=62.0, ago=0)
    series = next(one for one in shed.stores.readings.series() if one.quantity is RH)
    stored = shed.stores.readings.window(series.id, NOW - timedelta(hours=1), NOW + ONE)
    assert [(one.value, one.raw) for one in stored] == [(61.0, None), (pytest.approx(59.5), 62.0)]
    assert "62.0 % relative humidity, 0 s old; shown everywhere as 59.5 %" in words_of(
        client.get(PAGE).text
    )


ONE = timedelta(seconds=1)


def test_a_second_reference_is_compared_with_the_raw_value(
    shed: KeptShed, client: TestClient
) -> None:
    hear(shed, humidity=61.0)
    offset(client, "58.5")
    hear(shed, humidity=61.0, ago=0)
    offset(client, "59.0")
    made = shed.stores.records.calibrations.calibrations()
    assert [one.correction.offset for one in made] == [pytest.approx(-2.5), pytest.approx(-2.0)]


def test_a_change_is_noted(shed: KeptShed, client: TestClient) -> None:
    hear(shed, humidity=61.0)
    offset(client, "58.5")
    what = "th-9: relative humidity calibrated"
    noted = Change(at=NOW, by=None, what=what, before="61.0 %", after="58.5 %")
    assert noted in shed.stores.records.changes.changes()


def test_a_sensor_that_is_far_off_is_called_broken(shed: KeptShed, client: TestClient) -> None:
    hear(shed, humidity=61.0)
    assert "broken" in words_of(offset(client, "45.9"))
    assert shed.stores.records.calibrations.calibrations() == []


def test_a_value_that_is_too_old_by_now_is_not_compared(shed: KeptShed, client: TestClient) -> None:
    hear(shed, ago=170)
    at = read_at(client.get(PAGE).text, RH)
    shed.clock.set(NOW + timedelta(seconds=30))
    told = {"device": "th-9", "quantity": RH.value, "read_at": at, "reference": "60"}
    answer = client.post("/sensors/calibration/offset", data=told)
    assert answer.status_code == 422
    assert "too old by now" in answer.text
    assert shed.stores.records.calibrations.calibrations() == []


def test_an_old_value_has_no_form(shed: KeptShed, client: TestClient) -> None:
    hear(shed, ago=600)
    page = client.get(PAGE).text
    assert "wait until the sensor is heard again" in page
    assert "read_at" not in page


@pytest.mark.parametrize("typed", ["", "damp", "1e400", "-99", "nan"])
def test_a_reference_that_is_no_number_is_told(
    typed: str, shed: KeptShed, client: TestClient
) -> None:
    hear(shed)
    told = words_of(offset(client, typed))
    assert "What the reference says:" in told
    assert "-15 to 115 %" in told


def test_a_value_that_never_was_is_not_compared(shed: KeptShed, client: TestClient) -> None:
    hear(shed)
    told = {"device": "th-9", "quantity": RH.value, "reference": "60"}
    for at in ("", "yesterday", (NOW - timedelta(seconds=5)).isoformat(), "0001-01-01T00:00:00+14"):
        answer = client.post("/sensors/calibration/offset", data={**told, "read_at": at})
        assert answer.status_code == 422


# Two references.


def test_two_references_make_a_line(shed: KeptShed, client: TestClient) -> None:
    hear(shed)
    told = {
        "device": "th-9",
        "quantity": "temperature",
        "first_raw": "1.0",
        "first_reference": "0",
        "second_raw": "20",
        "second_reference": "20.0",
    }
    answer = client.post("/sensors/calibration/points", data=told)
    assert answer.status_code == 303
    made = shed.stores.records.calibrations.calibrations()[0]
    assert made.correction.applied_to(1.0) == pytest.approx(0.0)
    assert made.correction.applied_to(20.0) == pytest.approx(20.0)
    assert "two points: references of 0.0 °C and 20.0 °C" in words_of(client.get(PAGE).text)


def test_what_was_typed_stays_when_two_references_make_no_line(
    shed: KeptShed, client: TestClient
) -> None:
    hear(shed)
    told = {
        "device": "th-9",
        "quantity": "temperature",
        "first_raw": "18.5",
        "first_reference": "18.1",
        "second_raw": "20",
        "second_reference": "20.0",
    }
    answer = client.post("/sensors/calibration/points", data=told)
    assert answer.status_code == 422
    assert 'name="first_raw" value="18.5"' in answer.text
    assert "10 °C or more" in answer.text


# The jar.


def test_a_sensor_in_the_jar_tells_nothing_of_the_shed(shed: KeptShed, client: TestClient) -> None:
    hear(shed, humidity=61.0, ago=3600)
    client.post("/sensors/calibration/salt", data={"device": "th-9", "salt": "sodium chloride"})
    hear(shed, humidity=75.0, ago=0)
    newest = {
        one.series.place: one.value
        for one in shed.stores.readings.latest()
        if one.series.quantity is RH
    }
    assert newest["shed"] == 61.0
    assert len(newest) == 2


def test_a_trial_that_is_not_ready_offers_no_result(shed: KeptShed, client: TestClient) -> None:
    hear(shed, ago=15 * 3600)
    start_jar(client, shed, Salt.SODIUM_CHLORIDE, hours=11, reads=77.0)
    page = client.get(PAGE).text
    assert "Steady, not long enough" in page
    assert "calibration/take" not in page
    assert "nothing is taken from it" in take(client)
    assert shed.stores.records.calibrations.calibrations() == []


def test_a_ready_trial_is_taken_and_ends(shed: KeptShed, client: TestClient) -> None:
    hear(shed, ago=15 * 3600)
    start_jar(client, shed, Salt.SODIUM_CHLORIDE, reads=77.0)
    page = words_of(client.get(PAGE).text)
    assert "Ready" in page
    # Greenspan 1977 by his fit: 75.48 % above sodium chloride at 20 °C.
    assert "The salt holds 75.5 %" in page
    assert "It reads 1.5 % too much." in page
    told = words_of(take(client))
    assert "77.0 % is shown as 75.5 %" in told
    assert "salt: sodium chloride" in told
    trial = shed.stores.records.calibrations.trials()[0]
    assert trial.ended_at == NOW
    assert trial.measured_pct == pytest.approx(77.0)
    assert trial.temperature_c == pytest.approx(20.0)


def test_a_jar_that_was_opened_after_it_was_ready_still_counts(
    shed: KeptShed, client: TestClient
) -> None:
    hear(shed, ago=15 * 3600)
    start_jar(client, shed, Salt.SODIUM_CHLORIDE, reads=77.0)
    for minutes in range(1, 31):
        shed.clock.set(NOW + timedelta(minutes=minutes))
        hear(shed, humidity=60.0, ago=-60 * minutes)
    page = words_of(client.get(PAGE).text)
    assert "Settling" in page
    assert "It was ready at" in page
    take(client)
    made = shed.stores.records.calibrations.calibrations()[0]
    assert made.before == pytest.approx(77.0, abs=0.01)


def test_two_salts_make_a_line(shed: KeptShed, client: TestClient) -> None:
    hear(shed, ago=20 * 3600)
    wet = 1.05 * humidity_above(Salt.SODIUM_CHLORIDE, 20.0) + 1.0
    dry = 1.05 * humidity_above(Salt.MAGNESIUM_CHLORIDE, 20.0) + 1.0
    start_jar(client, shed, Salt.MAGNESIUM_CHLORIDE, reads=dry)
    take(client)
    began = NOW + timedelta(minutes=1)
    shed.clock.set(began)
    client.post("/sensors/calibration/salt", data={"device": "th-9", "salt": "sodium chloride"})
    for minutes in range(130, -1, -1):
        hear(shed, humidity=wet, ago=-14 * 3600 + 60 * minutes)
    shed.clock.set(NOW + timedelta(hours=14, minutes=1))
    assert "correct it by both salts" in client.get(PAGE).text
    take(client, "line")
    made = shed.stores.records.calibrations.calibrations()[-1]
    assert made.reference == "magnesium chloride and sodium chloride"
    assert made.correction.slope == pytest.approx(1 / 1.05, abs=0.001)
    assert made.correction.applied_to(wet) == pytest.approx((wet - 1) / 1.05, abs=0.05)


def test_a_trial_that_is_given_up_corrects_nothing(shed: KeptShed, client: TestClient) -> None:
    hear(shed)
    client.post("/sensors/calibration/salt", data={"device": "th-9", "salt": "sodium chloride"})
    client.post("/sensors/calibration/give-up", data={"device": "th-9"})
    trial = shed.stores.records.calibrations.trials()[0]
    assert (trial.ended_at, trial.measured_pct) == (NOW, None)
    assert shed.stores.records.calibrations.calibrations() == []
    hear(shed, ago=0)
    assert {one.series.place for one in shed.stores.readings.latest()} == {"shed"}


def test_the_only_sensor_of_a_place_in_alarm_stays(shed: KeptShed, client: TestClient) -> None:
    hear(shed)
    limit = shed.settings().limits[0]
    alarm = Alarm(
        id="a1",
        rule=limit.id,
        place=limit.place,
        priority=Priority.HIGH,
        state=AlarmState.UNACKNOWLEDGED,
        raised_at=NOW,
        value=1.0,
        setpoint=5.0,
        text="cold",
    )
    shed.stores.records.alarms.put([alarm])
    answer = client.post(
        "/sensors/calibration/salt", data={"device": "th-9", "salt": "sodium chloride"}
    )
    assert answer.status_code == 422
    assert "is in alarm" in answer.text
    assert shed.stores.records.calibrations.trials() == []


def test_who_has_one_sensor_is_warned_that_nobody_watches(
    shed: KeptShed, client: TestClient
) -> None:
    hear(shed)
    assert "is the only sensor of" in client.get(PAGE).text


def test_no_reference_is_taken_while_it_is_in_the_jar(shed: KeptShed, client: TestClient) -> None:
    hear(shed)
    at = read_at(client.get(PAGE).text, RH)
    client.post("/sensors/calibration/salt", data={"device": "th-9", "salt": "sodium chloride"})
    told = {"device": "th-9", "quantity": RH.value, "read_at": at, "reference": "60"}
    answer = client.post("/sensors/calibration/offset", data=told)
    assert answer.status_code == 422
    assert "in a salt jar" in answer.text


def test_an_unknown_sensor_is_not_known(client: TestClient) -> None:
    assert client.get("/sensors/calibration?device=nobody").status_code == 404


# What stays closed while it is in the jar.


def test_what_is_set_of_a_sensor_in_the_jar_stays(shed: KeptShed, client: TestClient) -> None:
    hear(shed)
    client.post("/sensors/calibration/salt", data={"device": "th-9", "salt": "sodium chloride"})
    page = client.get("/sensors/one?device=th-9").text
    assert "It is in a salt jar: see how far it has come" in page
    assert "/sensors/remove" not in page


def test_the_jar_is_no_place_to_set_up(shed: KeptShed, client: TestClient) -> None:
    hear(shed)
    client.post("/sensors/calibration/salt", data={"device": "th-9", "salt": "sodium chloride"})
    shed.hear("clutchweather/th-10/senml", '[{"bn":"th-10:","n":"temperature","u":"Cel","v":4}]')
    assert "Salt jar" not in client.get("/sensors/adopt?device=th-10").text
    assert "Salt jar" not in client.get("/setup/places").text
