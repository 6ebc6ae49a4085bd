"""The buses of sensors that are wired to the machine itself: I2C and 1-wire."""

import os

from service.machine.finding import Finding, look, well
from service.machine.machine import Machine


def look_at_buses(machine: Machine) -> Finding | None:
    """None on machines that have no pins for them. Sensors over the network need none."""
    if not machine.is_raspberry_pi:
        return None
    what = "wired sensors"
    i2c = machine.find("dev/i2c-*")
    one_wire = machine.find("sys/bus/w1/devices/w1_bus_master*")
    refused = [bus.name for bus in i2c if not os.access(bus, os.R_OK | os.W_OK)]
    if refused:
        return look(
            what,
            f"The bus {', '.join(refused)} is there, and this user may not use it.",
            "sudo usermod -aG i2c USER, with the user that the service runs as; then start again.",
        )
    if not i2c and not one_wire:
        return well(
            what,
            "No bus for wired sensors is switched on; only sensors wired to this machine need one.",
            "To switch one on: sudo raspi-config, Interface Options.",
        )
    names = [*(bus.name for bus in i2c), *(["1-wire"] if one_wire else [])]
    return well(what, f"Switched on and open to us: {', '.join(names)}.")
