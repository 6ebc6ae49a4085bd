"""The versions of the program on this machine, side by side, and the one that is used.

``/opt/clutchweather/versions/<stamp>`` holds each; the link ``current`` names the one in use,
``previous`` the one before. A link is replaced at once, so that a power cut leaves the old or
the new version, never half of one.
"""

import json
import shutil
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

from service.errors import InputError, NotKnownError

WHOLE = "whole.json"
NOT_TAKEN_ALONG = (".git", ".venv", "__pycache__", "*.egg-info", ".*_cache", "build")
NEEDED = ("pyproject.toml", "service/start", "service/venv.sh")


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """One version. ``backup`` was made just before it was first used, when the databases had
    these ``layouts``; None at the first.
    """

    stamp: str
    backup: str | None = None
    layouts: str | None = None


class Versions:
    """All versions below ``folder``."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._versions = folder / "versions"

    def current(self) -> Version | None:
        """The one in use."""
        return self._named("current")

    def previous(self) -> Version | None:
        """The one that was in use before."""
        return self._named("previous")

    def path_of(self, version: Version) -> Path:
        """Where it lies."""
        return self._versions / version.stamp

    def put(self, source: Path, at: datetime, make_venv: Callable[[Path], None]) -> Version:
        """Copy a checked-out version and make it ready; it is not used yet.

        A copy that was cut off in the middle has no mark that it is whole, and is removed.

        Raises:
            InputError: ``source`` is no folder with a version in it.
            OSError, VenvNotMadeError: it could not be made; nothing is left of it.
        """
        refuse_what_is_no_version(source)
        self._remove_what_is_not_whole()
        version = Version(stamp=f"{at:%Y%m%dT%H%M%SZ}")
        place = self.path_of(version)
        if place.exists():
            raise InputError(f"{place}: there is a version of this very second; try again")
        try:
            shutil.copytree(
                source, place, symlinks=True, ignore=shutil.ignore_patterns(*NOT_TAKEN_ALONG)
            )
            make_venv(place)
            self._note(version)
        except BaseException:
            shutil.rmtree(place, ignore_errors=True)
            raise
        return version

    def use(self, version: Version) -> None:
        """From the next start on this one is used, and the one before is kept."""
        before = self.current()
        self._note(version)
        if before is not None and before.stamp != version.stamp:
            self._link("previous", before)
        self._link("current", version)

    def go_back(self) -> Version:
        """Use the previous one again. There is one step back, and none after it.

        Raises:
            NotKnownError: there is none.
        """
        before = self.previous()
        if before is None:
            raise NotKnownError(f"{self.folder}: no previous version is kept there")
        self._link("current", before)
        (self.folder / "previous").unlink()
        return before

    def keep_two(self) -> None:
        """Remove all versions but the one in use and the previous one."""
        kept = {one.stamp for one in (self.current(), self.previous()) if one is not None}
        for place in self._versions.iterdir():
            if place.name not in kept:
                shutil.rmtree(place)

    def remove(self, version: Version) -> None:
        """Remove one that was never used."""
        shutil.rmtree(self.path_of(version), ignore_errors=True)

    def remove_all(self) -> None:
        """Remove every version and the links."""
        shutil.rmtree(self.folder, ignore_errors=True)

    def _note(self, version: Version) -> None:
        place = self.path_of(version)
        new = place / f"{WHOLE}.new"
        new.write_text(json.dumps(asdict(version)))
        new.replace(place / WHOLE)

    def _named(self, name: str) -> Version | None:
        try:
            return Version(**json.loads((self.folder / name / WHOLE).read_text()))
        except (OSError, ValueError, TypeError):
            return None

    def _link(self, name: str, version: Version) -> None:
        new = self.folder / f"{name}.new"
        new.unlink(missing_ok=True)
        new.symlink_to(Path("versions") / version.stamp)
        new.replace(self.folder / name)

    def _remove_what_is_not_whole(self) -> None:
        self._versions.mkdir(parents=True, exist_ok=True)
        for place in self._versions.iterdir():
            if not (place / WHOLE).exists():
                shutil.rmtree(place)


def refuse_what_is_no_version(source: Path) -> None:
    """Refuse a folder that holds no version of this program.

    Raises:
        InputError: it says what is missing.
    """
    if not source.is_dir():
        raise InputError(f"{source}: there is no such folder")
    for name in NEEDED:
        if not (source / name).is_file():
            raise InputError(
                f"{source}: there is no {name} in it; allowed: the folder of a version of "
                "Clutchweather, as it was unpacked or checked out"
            )
