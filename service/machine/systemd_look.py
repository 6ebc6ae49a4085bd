"""Whether systemd starts the service by itself, after a power cut too (systemd.unit(5))."""

from service.machine.finding import Finding, look, well
from service.machine.machine import Machine

UNITS = "etc/systemd/system/clutchweather*.service"
_WANTED = "etc/systemd/system/*.wants/clutchweather*"


def look_at_units(machine: Machine) -> Finding | None:
    """None where systemd does not run the machine."""
    if not machine.has_systemd:
        return None
    what = "start by itself"
    units = machine.find(UNITS)
    if not units:
        return look(
            what,
            "Nothing starts the service after a power cut.",
            "clutchweather install-units shows what to do.",
        )
    if not machine.find(_WANTED):
        return look(
            what,
            "The units are there and not enabled: nothing starts the service after a power cut.",
            f"sudo systemctl enable --now {' '.join(unit.stem for unit in units)}",
        )
    return well(what, "systemd starts the service, after a power cut too.")
