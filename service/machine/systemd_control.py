"""Gives orders to systemd, and makes the virtual environment of a version."""

import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

from devices.errors import ClutchweatherError


class OrderFailedError(ClutchweatherError):
    """A program of the machine did not do what it was asked for; with its last words."""


class VenvNotMadeError(ClutchweatherError):
    """The virtual environment of a version could not be made."""


class Systemd:
    """``systemctl``, ``systemd-sysusers`` and ``chown`` of this machine."""

    def run(self, *command: str) -> None:
        """Run a command to its end.

        Raises:
            OrderFailedError: there is no such program, or it failed.
        """
        program = shutil.which(command[0])
        if program is None:
            raise OrderFailedError(f"{command[0]} is not on this machine")
        done = subprocess.run(  # noqa: S603 - a program that was looked for by name
            [program, *command[1:]], capture_output=True, text=True, check=False
        )
        if done.returncode:
            words = (done.stderr or done.stdout).strip() or f"status {done.returncode}"
            raise OrderFailedError(f"{' '.join(command)}: {words}")

    def control(self, *arguments: str) -> None:
        """``systemctl`` with these arguments.

        Raises:
            OrderFailedError: as above.
        """
        self.run("systemctl", *arguments)

    def is_active(self, units: Sequence[str]) -> bool:
        """Whether all of these units run."""
        try:
            self.run("systemctl", "is-active", "--quiet", *units)
        except OrderFailedError:
            return False
        return True


def make_venv(place: Path) -> None:
    """By the version's own ``service/venv.sh``, which tells each step on standard error.

    Raises:
        VenvNotMadeError: the reason stands on standard error.
    """
    shell = shutil.which("sh") or "/bin/sh"
    script = '. "$1/service/venv.sh"; make_venv "$1" ""'
    done = subprocess.run([shell, "-c", script, "sh", str(place)], check=False)  # noqa: S603
    if done.returncode:
        raise VenvNotMadeError(
            f"{place}: its virtual environment could not be made; nothing was changed"
        )
