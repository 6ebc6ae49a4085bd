"""The machine that the service runs on, as its kernel shows it in files."""

import ctypes
import os
import subprocess
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

_TIMEX_BYTES = 512
"""``struct timex`` has 208 bytes on 64-bit Linux; the rest is room."""

_TIME_ERROR = 5
_PROGRAM_WITHIN_S = 5.0


def kernel_says_synchronised() -> bool | None:
    """Whether a time service keeps the kernel's clock right (adjtimex(2)); None: unknown."""
    adjtimex = getattr(ctypes.CDLL(None), "adjtimex", None)
    if adjtimex is None:
        return None
    state = adjtimex(ctypes.create_string_buffer(_TIMEX_BYTES))
    return None if state < 0 else state != _TIME_ERROR


def nothing_known() -> bool | None:
    """For a machine that is only a folder tree."""
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """``root`` is where its file system begins: another folder in tests.

    ``kernel_clock`` answers as ``kernel_says_synchronised``.
    """

    root: Path = Path("/")
    kernel_clock: Callable[[], bool | None] = kernel_says_synchronised

    def now(self) -> datetime:
        """The machine's clock, right or wrong."""
        return datetime.fromtimestamp(time.time(), UTC)

    def path(self, name: str) -> Path:
        """Where ``name`` (``sys/class/…``) is."""
        return self.root / name

    def text(self, name: str) -> str | None:
        """What stands in a file, without what surrounds it; None where it can't be read."""
        try:
            return self.path(name).read_text(errors="replace").strip(" \n\t\0")
        except OSError:
            return None

    def number(self, name: str) -> float | None:
        """The number in a file; None where there is none."""
        text = self.text(name)
        try:
            return None if text is None else float(text)
        except ValueError:
            return None

    def find(self, pattern: str) -> list[Path]:
        """Files and folders by name, sorted."""
        return sorted(self.root.glob(pattern))

    @property
    def is_raspberry_pi(self) -> bool:
        """As the device tree tells."""
        return "Raspberry Pi" in (self.text("proc/device-tree/model") or "")

    @property
    def has_systemd(self) -> bool:
        """sd_booted(3): whether systemd runs this machine."""
        return self.path("run/systemd/system").is_dir()

    @property
    def up_for_s(self) -> float | None:
        """Seconds since the machine was started."""
        text = self.text("proc/uptime")
        try:
            return None if text is None else float(text.split()[0])
        except (ValueError, IndexError):
            return None

    def answer_of(self, program: str, *arguments: str) -> str | None:
        """What a program of this machine (``usr/bin/…``) prints; None where it can't tell."""
        try:
            done = subprocess.run(  # noqa: S603 - named by our own code
                [self.path(program), *arguments],
                capture_output=True,
                text=True,
                timeout=_PROGRAM_WITHIN_S,
                check=False,
            )
        except (OSError, subprocess.SubprocessError):
            return None
        return done.stdout.strip() if done.returncode == 0 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """Room on the disk of a folder; ``files`` is 0 where the file system does not count them."""

    free_bytes: int
    free_files: int
    files: int


def space_at(folder: Path) -> Space | None:
    """The room where ``folder`` lies, for those who are not root; None where unknown."""
    try:
        told = os.statvfs(folder)
    except OSError:
        return None
    return Space(
        free_bytes=told.f_bavail * told.f_frsize, free_files=told.f_favail, files=told.f_files
    )
