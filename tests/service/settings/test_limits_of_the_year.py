"""Limits that hold in a part of the year only."""

from pathlib import Path

from service.settings.limits_of_the_year import with_limits_of_the_year
from service.settings.load import load_settings
from service.settings.settings import Settings

FILE = """
[[place]]
id = "shed"
kind = "shed"
[[place]]
id = "flight"
kind = "flight"
in = "shed"
[[limit]]
id = "cold"
place = "shed"
quantity = "temperature"
low = 5
during = "breeding"
[[limit]]
id = "frost"
place = "flight"
quantity = "temperature"
low = 1
during = "resting"
[[limit]]
id = "hot"
place = "shed"
quantity = "temperature"
high = 30
"""


def loaded(data: Path) -> Settings:
    (data / "clutchweather.toml").write_text(FILE)
    return load_settings(None, data)


def held(settings: Settings, *, resting: bool) -> list[str]:
    return [limit.id for limit in with_limits_of_the_year(settings, resting).limits]


def test_while_birds_breed_the_limits_of_the_rest_sleep(tmp_path: Path) -> None:
    assert held(loaded(tmp_path), resting=False) == ["cold", "hot"]


def test_while_birds_rest_the_limits_of_breeding_sleep(tmp_path: Path) -> None:
    assert held(loaded(tmp_path), resting=True) == ["frost", "hot"]


def test_limits_that_say_nothing_of_it_hold_all_year(tmp_path: Path) -> None:
    settings = load_settings(None, tmp_path)
    assert with_limits_of_the_year(settings, True) is settings


def test_a_flight_with_a_sensor_has_limits_of_its_own_without_any_in_the_file(
    tmp_path: Path,
) -> None:
    places = FILE[: FILE.index("[[limit]]")]
    sensor = '[[sensor]]\ndevice = "th"\nplace = "flight"\ninterval = "60 s"\n'
    (tmp_path / "clutchweather.toml").write_text(places + sensor)
    found = {limit.id for limit in load_settings(None, tmp_path).limits}
    assert {"shed-cold", "flight-frost"} <= found
