"""Reads the configuration file and keeps the last good copy of it."""

import os
import re
import tempfile
import tomllib
from dataclasses import replace
from pathlib import Path

from service.errors import ConfigurationError
from service.settings.faults import fault_line, in_toml
from service.settings.in_force import NOTHING_KEPT, examine, settings_of
from service.settings.settings import Settings
from service.settings.stated import Stated
from service.store.kept_settings import Kept

FILE_NAME = "clutchweather.toml"
LAST_GOOD_NAME = "clutchweather.last-good.toml"


def default_settings(data: Path) -> Settings:
    """One shed with the built-in limits and no sensor: what holds without a file."""
    return settings_of(Stated(), data)


def load_settings(file: Path | None, data: Path, kept: Kept = NOTHING_KEPT) -> Settings:
    """The settings of ``file`` over those made on pages, whole and sound.

    Args:
        file: the configuration; None for ``clutchweather.toml`` in the data folder, which
            may be absent: then the defaults hold.
        data: the data folder; relative names in the file are in it. It need not exist.
        kept: what was set on pages.

    Raises:
        ConfigurationError: with every fault of the file, one line each.
    """
    return settings_of(read_file(file, data), data, kept)


def load_or_last_good(file: Path | None, data: Path, kept: Kept = NOTHING_KEPT) -> Settings:
    """The settings of a service that must run: never raises for a faulty file.

    On faults the last good copy holds, or the defaults where there is none, and
    ``Settings.faults`` tells what is wrong. After a good load the copy is renewed; where
    it can't be written that is told in ``faults`` too.
    """
    return settings_of(read_file_or_last_good(file, data), data, kept)


def read_file(file: Path | None, data: Path) -> Stated:
    """What the file states by itself.

    Raises:
        ConfigurationError: with every fault of the file, one line each.
    """
    return _read(file, data)[0]


def read_file_or_last_good(file: Path | None, data: Path) -> Stated:
    """What the file states, or its last good copy, with the faults in words."""
    try:
        stated, written = _read(file, data)
    except ConfigurationError as error:
        return replace(_last_good(data), faults=error.faults)
    if written is None:
        return _without_a_file(stated, data)
    return replace(stated, faults=_keep_last_good(data, written))


def _without_a_file(stated: Stated, data: Path) -> Stated:
    """A file that was there and is gone is a fault: without it nobody would be watched."""
    kept = data / LAST_GOOD_NAME
    if not kept.exists():
        return stated
    gone = (
        f"{data / FILE_NAME}: is there no more; the last good copy of it holds. "
        f"To do without it remove {kept} too."
    )
    return replace(_last_good(data), faults=(gone,))


def _read(file: Path | None, data: Path) -> tuple[Stated, bytes | None]:
    """What is stated and the bytes it was read from, None without a file."""
    source = data / FILE_NAME if file is None else file
    try:
        written = source.read_bytes()
    except FileNotFoundError as error:
        if file is None:
            return Stated(), None
        raise ConfigurationError([f"{source}: there is no such file"]) from error
    except OSError as error:
        raise ConfigurationError([f"{source}: cannot be read: {error.strerror}"]) from error
    return _understand(written, source), written


def _understand(written: bytes, source: Path) -> Stated:
    document = _toml(written, source)
    faults = examine(document).faults
    if faults:
        raise ConfigurationError([fault_line(one, str(source), document) for one in faults])
    return Stated(document=document, file=source)


def _toml(written: bytes, source: Path) -> dict[str, object]:
    try:
        text = written.decode("utf-8-sig")  # some editors begin a file with a mark
        return tomllib.loads(text)
    except UnicodeDecodeError as error:
        line = written.count(b"\n", 0, error.start) + 1
        column = error.start - written.rfind(b"\n", 0, error.start)
        told = f"line {line}, column {column}: not UTF-8; allowed: a text file in UTF-8"
    except tomllib.TOMLDecodeError as error:
        told = _syntax_fault(str(error), text)
    except RecursionError:
        told = "too many brackets inside each other; allowed: TOML as in the example"
    raise ConfigurationError([f"{source}: {told}"])


def _syntax_fault(message: str, text: str) -> str:
    """Line and column first, then what stands there and what Python's reader says of it."""
    reason, _, where = message.rpartition(" (at ")
    place = re.search(r"line (\d+), column (\d+)", where)
    lines = text.splitlines() or [""]
    line, column = (int(place[1]), int(place[2])) if place else (len(lines), len(lines[-1]) + 1)
    stands = lines[min(line, len(lines)) - 1].strip()
    return f"line {line}, column {column}: {in_toml(stands)} is not TOML: {reason}"


def _last_good(data: Path) -> Stated:
    try:
        return read_file(data / LAST_GOOD_NAME, data)
    except ConfigurationError:
        return Stated()


def _keep_last_good(data: Path, written: bytes) -> tuple[str, ...]:
    """Replace the copy at once, so that a power cut leaves the old or the new one."""
    kept = data / LAST_GOOD_NAME
    try:
        if kept.exists() and kept.read_bytes() == written:
            return ()
        data.mkdir(parents=True, exist_ok=True)
        _replace(kept, written)
    except OSError as error:
        return (f"{kept}: the last good copy cannot be kept: {error.strerror}",)
    return ()


def _replace(kept: Path, written: bytes) -> None:
    """By a file of its own name: watch and pages may keep the same copy at once."""
    with tempfile.NamedTemporaryFile(dir=kept.parent, delete=False) as new:
        try:
            new.write(written)
            new.flush()
            os.fsync(new.fileno())
            Path(new.name).replace(kept)
        except OSError:
            Path(new.name).unlink(missing_ok=True)
            raise
