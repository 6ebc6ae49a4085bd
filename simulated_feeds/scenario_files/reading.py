"""A scenario by its name, or from a file of somebody's own."""

import tomllib
from collections.abc import Iterable
from datetime import datetime
from importlib.resources import files
from pathlib import Path

from pydantic import ValidationError

from devices.errors import ClutchweatherError
from simulated_feeds.scenario_files.compiling import compiled
from simulated_feeds.scenario_files.file import LARGEST_SEED, LONGEST_DAYS, ScenarioFile
from simulated_feeds.scenario_files.parts import sentences
from simulated_feeds.scenario_files.scenario import Scenario

ENDING = ".toml"
_FOLDER = files("simulated_feeds.scenario_files")


class UnknownScenarioError(ClutchweatherError, LookupError):
    """There is no scenario of that name."""

    def __init__(self, name: str) -> None:
        super().__init__(
            f"no scenario {name!r}; there are {', '.join(names())}, or name a file of your own "
            f"(*{ENDING})"
        )
        self.name = name


class ScenarioFaultsError(ClutchweatherError, ValueError):
    """A scenario asks for what can't be; each fault is a line of its own in ``faults``."""

    def __init__(self, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(self.faults))


def names() -> tuple[str, ...]:
    """All scenarios that come with the simulated shed, in the order of the alphabet."""
    found = (Path(entry.name) for entry in _FOLDER.iterdir() if entry.name.endswith(ENDING))
    return tuple(sorted(file.stem for file in found))


def scenario_of(
    name: str, now: datetime, *, seed: int | None = None, days: int | None = None
) -> Scenario:
    """The scenario of a name or of a path that ends in ``.toml``.

    Args:
        name: as ``names()`` tells them, or a path.
        now: the present of those that end at the present [aware]; to the minute before.
        seed: another one than the file's.
        days: another length than the file's.

    Raises:
        UnknownScenarioError: no such name.
        ScenarioFaultsError: what the file, the seed or the length says can't be.
    """
    where, text = _text(name)
    faults = [*_out_of_range("seed", seed, 0, LARGEST_SEED)]
    faults += _out_of_range("days", days, 1, LONGEST_DAYS)
    try:
        file = ScenarioFile.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise ScenarioFaultsError([f"{where}: {error}", *faults]) from error
    except ValidationError as error:
        told = [f"{where}: {sentence}" for sentence in sentences(error, "")]
        raise ScenarioFaultsError([*told, *faults]) from error
    if faults:
        raise ScenarioFaultsError(faults)
    changed = {"seed": seed, "days": days}
    file = file.model_copy(update={key: told for key, told in changed.items() if told is not None})
    faults = []
    scenario = compiled(Path(name).stem, file, now, faults)
    if scenario is None:
        raise ScenarioFaultsError(f"{where}: {fault}" for fault in faults)
    return scenario


def _text(name: str) -> tuple[str, str]:
    """What to call it, and what stands in it."""
    if name.endswith(ENDING):
        try:
            return name, Path(name).read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as error:
            raise ScenarioFaultsError([f"{name} can't be read: {error}"]) from error
    if name not in names():
        raise UnknownScenarioError(name)
    return f"{name}{ENDING}", (_FOLDER / f"{name}{ENDING}").read_text(encoding="utf-8")


def _out_of_range(name: str, told: int | None, least: int, most: int) -> list[str]:
    if told is None or least <= told <= most:
        return []
    return [f"{name} is {told}; allowed is {least} to {most}"]
