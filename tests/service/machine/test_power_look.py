"""Power and heat. Bits as in the Raspberry Pi documentation, "vcgencmd": 0 and 16."""

from pathlib import Path

import pytest

from service.machine.finding import State
from service.machine.power_look import look_at_heat, look_at_power
from tests.service.machine.machines import RASPBERRY, machine

THROTTLED = "sys/devices/platform/soc/soc:firmware/get_throttled"


@pytest.mark.parametrize(
    ("bits", "expected", "words"),
    [
        ("0", State.WELL, "never"),
        ("50005", State.LOOK, "at this moment"),
        ("50000", State.LOOK, "at least once"),
        ("10000", State.LOOK, "at least once"),
        ("e0000", State.WELL, "never"),  # slowed by heat, not by the supply
    ],
)
def test_bits_of_the_firmware_are_put_into_words(
    tmp_path: Path, bits: str, expected: State, words: str
) -> None:
    found = look_at_power(machine(tmp_path, {**RASPBERRY, THROTTLED: f"{bits}\n"}))
    assert found is not None
    assert (found.state, words in found.sentence) == (expected, True)


def test_the_program_of_the_firmware_is_asked_where_the_kernel_is_silent(tmp_path: Path) -> None:
    here = machine(
        tmp_path, {**RASPBERRY, "usr/bin/vcgencmd": "#!/bin/sh\necho throttled=0x50000\n"}
    )
    (tmp_path / "usr/bin/vcgencmd").chmod(0o755)
    found = look_at_power(here)
    assert found is not None
    assert found.state is State.LOOK


@pytest.mark.parametrize(("alarm", "expected"), [("0", State.WELL), ("1", State.LOOK)])
def test_the_alarm_of_the_kernel_is_heard(tmp_path: Path, alarm: str, expected: State) -> None:
    files = {
        "sys/class/hwmon/hwmon0/name": "cpu_thermal",
        "sys/class/hwmon/hwmon1/name": "rpi_volt",
        "sys/class/hwmon/hwmon1/in0_lcrit_alarm": alarm,
    }
    found = look_at_power(machine(tmp_path, {**RASPBERRY, **files}))
    assert found is not None
    assert found.state is expected


def test_a_silent_machine_is_not_well(tmp_path: Path) -> None:
    found = look_at_power(machine(tmp_path, RASPBERRY))
    assert found is not None
    assert found.state is State.CANNOT_TELL


def test_power_does_not_apply_to_other_machines(tmp_path: Path) -> None:
    assert look_at_power(machine(tmp_path, {THROTTLED: "50005"})) is None


@pytest.mark.parametrize(("milli", "expected"), [("51000", State.WELL), ("80500", State.LOOK)])
def test_heat_is_told_from_eighty_degrees_on(tmp_path: Path, milli: str, expected: State) -> None:
    found = look_at_heat(machine(tmp_path, {"sys/class/thermal/thermal_zone0/temp": milli}))
    assert found is not None
    assert found.state is expected


def test_a_raspberry_pi_without_a_thermometer_is_not_well(tmp_path: Path) -> None:
    found = look_at_heat(machine(tmp_path, RASPBERRY))
    assert found is not None
    assert found.state is State.CANNOT_TELL
    assert look_at_heat(machine(tmp_path / "other")) is None
