"""A sensor in the salt jar measures nothing of the shed."""

from pathlib import Path

import pytest

from service.errors import ConfigurationError
from service.nests.place import PlaceKind
from service.settings.away import JAR, with_sensors_away
from service.settings.load import FILE_NAME, load_settings
from service.settings.settings import Settings

FILE = """
[[place]]
id = "shed"
kind = "shed"
[[sensor]]
device = "th-shed"
place = "shed"
interval = "60 s"
[[sensor]]
device = "th-2"
place = "shed"
interval = "60 s"
"""


def shed(tmp_path: Path) -> Settings:
    (tmp_path / FILE_NAME).write_text(FILE)
    return load_settings(None, tmp_path)


def test_a_sensor_that_is_away_stands_in_the_jar_and_the_others_stay(tmp_path: Path) -> None:
    away = with_sensors_away(shed(tmp_path), {"th-2"})
    assert {one.device: one.place for one in away.sensors} == {"th-shed": "shed", "th-2": JAR.id}


def test_the_jar_is_a_place_only_while_a_sensor_is_in_it(tmp_path: Path) -> None:
    settings = shed(tmp_path)
    assert with_sensors_away(settings, ()) is settings
    assert with_sensors_away(settings, {"nobody"}) is settings
    kinds = [place.kind for place in with_sensors_away(settings, {"th-2"}).places]
    assert kinds == [PlaceKind.SHED, PlaceKind.JAR]


def test_it_is_remembered_where_a_sensor_comes_from(tmp_path: Path) -> None:
    settings = shed(tmp_path)
    assert not settings.away
    assert with_sensors_away(settings, {"th-2"}).away == {"th-2": "shed"}


def test_no_place_that_is_set_up_can_be_taken_for_the_jar(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_text(f'[[place]]\nid = "{JAR.id}"\nkind = "cage"\n')
    with pytest.raises(ConfigurationError, match=JAR.id):
        load_settings(None, tmp_path)
