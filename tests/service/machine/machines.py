"""Machines that are folder trees."""

from collections.abc import Mapping
from pathlib import Path

from service.machine.machine import Machine, nothing_known

RASPBERRY = {"proc/device-tree/model": "Raspberry Pi 4 Model B Rev 1.4\0"}


def machine(
    root: Path, files: Mapping[str, str] | None = None, *, kernel_clock: bool | None = None
) -> Machine:
    """A machine whose kernel shows these files."""
    for name, text in (files or {}).items():
        file = root / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text)
    return Machine(
        root=root, kernel_clock=nothing_known if kernel_clock is None else lambda: kernel_clock
    )
