"""Whether a Raspberry Pi gets enough power, and how hot its processor is.

Source: Raspberry Pi documentation, "vcgencmd", get_throttled: bit 0 under-voltage now, bit 16
under-voltage since the start, bits 2 and 18 throttled; the processor is slowed from 80 °C on.
"""

from service.machine.finding import Finding, cannot_tell, look, well
from service.machine.machine import Machine

_NOW, _THROTTLED = 0x1, 0x4
_SINCE_START = 0x10000
_HOT_C = 80.0
_SUPPLY = (
    "Use the maker's power supply and a short, thick cable. Too little power spoils memory cards."
)


def look_at_power(machine: Machine) -> Finding | None:
    """None on other machines, where it does not apply."""
    if not machine.is_raspberry_pi:
        return None
    what = "power supply"
    bits = _throttled(machine)
    if bits is None:
        alarm = _voltage_alarm(machine)
        if alarm is None:
            return cannot_tell(
                what, "This machine does not tell whether it gets enough power.", _SUPPLY
            )
        bits = _NOW if alarm else 0
    if bits & _NOW:
        return look(what, "The voltage is too low at this moment.", _SUPPLY)
    if bits & _SINCE_START:
        return look(what, "The voltage was too low at least once since the start.", _SUPPLY)
    return well(what, "The voltage was never too low since the start.")


def look_at_heat(machine: Machine) -> Finding | None:
    """None where the machine has no such thermometer and is none that should."""
    what = "processor temperature"
    milli = machine.number("sys/class/thermal/thermal_zone0/temp")
    if milli is None:
        if not machine.is_raspberry_pi:
            return None
        return cannot_tell(
            what, "The processor does not tell its temperature.", "Feel whether the case is hot."
        )
    degrees = milli / 1000
    if degrees >= _HOT_C:
        return look(what, f"The processor has {degrees:.0f} °C and is slowed from {_HOT_C:.0f} on.",
                    "Give it air, shade or a cooler.")  # fmt: skip
    return well(what, f"The processor has {degrees:.0f} °C.")


def _throttled(machine: Machine) -> int | None:
    told = [
        machine.text(str(file.relative_to(machine.root)))
        for pattern in ("sys/devices/platform/soc*/get_throttled",
                        "sys/devices/platform/soc*/*/get_throttled")
        for file in machine.find(pattern)
    ]  # fmt: skip
    answer = machine.answer_of("usr/bin/vcgencmd", "get_throttled") if not any(told) else None
    told.append((answer or "").rpartition("=")[2])
    for text in told:
        try:
            return int(text or "", 16)
        except ValueError:
            continue
    return None


def _voltage_alarm(machine: Machine) -> bool | None:
    for name in machine.find("sys/class/hwmon/hwmon*/name"):
        if machine.text(str(name.relative_to(machine.root))) == "rpi_volt":
            alarm = machine.number(f"{name.parent.relative_to(machine.root)}/in0_lcrit_alarm")
            return None if alarm is None else bool(alarm)
    return None
