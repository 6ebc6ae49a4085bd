"""The keys that pages bring with them, as they stand in a file too."""

from pathlib import Path

import pytest

from service.errors import ConfigurationError
from service.settings.load import load_settings
from service.settings.settings import Settings


def load(text: str, data: Path) -> Settings:
    (data / "clutchweather.toml").write_text(text)
    return load_settings(None, data)


def refused(text: str, data: Path) -> tuple[str, ...]:
    with pytest.raises(ConfigurationError) as told:
        load(text, data)
    return told.value.faults


def test_a_sensor_has_a_name(tmp_path: Path) -> None:
    text = '[[sensor]]\ndevice = "th"\nplace = "shed"\ninterval = "60 s"\nname = "By the door"\n'
    (sensor,) = load(text, tmp_path).sensors
    assert sensor.name == "By the door"


def test_an_ignored_sender_that_is_set_up_is_heard(tmp_path: Path) -> None:
    text = (
        '[[ignored]]\ndevice = "th"\n[[ignored]]\ndevice = "neighbour"\n'
        '[[sensor]]\ndevice = "th"\nplace = "shed"\ninterval = "60 s"\n'
    )
    assert load(text, tmp_path).ignored == {"neighbour"}


def test_one_sender_is_ignored_once(tmp_path: Path) -> None:
    (fault,) = refused('[[ignored]]\ndevice = "a"\n[[ignored]]\ndevice = "a"\n', tmp_path)
    assert 'ignored[2].device = "a" is there twice' in fault


def test_pages_have_further_names_and_a_certificate(tmp_path: Path) -> None:
    text = '[pages]\nnames = ["Shed.Example"]\ncertificate = "own.pem"\nkey = "/etc/own.key"\n'
    settings = load(text, tmp_path)
    assert settings.page_names == ("shed.example",)
    assert settings.certificate_file == tmp_path / "own.pem"
    assert settings.key_file == Path("/etc/own.key")


@pytest.mark.parametrize(("told", "absent"), [("certificate", "key"), ("key", "certificate")])
def test_a_certificate_and_its_key_come_together(tmp_path: Path, told: str, absent: str) -> None:
    (fault,) = refused(f'[pages]\n{told} = "x.pem"\n', tmp_path)
    assert f"pages.{absent} is missing" in fault


@pytest.mark.parametrize("name", ["", "a b", "-shed", "shed..example", "http://shed", "x" * 64])
def test_a_name_that_no_browser_sends_is_refused(tmp_path: Path, name: str) -> None:
    (fault,) = refused(f'[pages]\nnames = ["{name}"]\n', tmp_path)
    assert "allowed: a host name such as shed.example" in fault


def test_what_the_file_states_is_known_path_by_path(tmp_path: Path) -> None:
    text = (
        '[shed]\nname = "Hazel"\n[light]\non = "06:30"\noff = "20:30"\n'
        '[[place]]\nid = "shed"\nkind = "shed"\n[[feed]]\ntopic = "a/+"\nformat = "senml"\n'
    )
    assert load(text, tmp_path).fixed == {
        ("shed", "name"),
        ("light", "on"),
        ("light", "off"),
        ("place", "shed"),
        ("feed", "a/+"),
    }
