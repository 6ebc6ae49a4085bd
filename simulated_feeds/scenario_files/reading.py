"""A scenario by its name, or from a file of somebody's own."""

import tomllib
from collections.abc import Iterable
from datetime import datetime
from importlib.resources import files
from pathlib import Path

from pydantic import ValidationError

from devices.errors import ClutchweatherError
from simulated_feeds.impossible import shown
from simulated_feeds.scenario_files.compiling import compiled
from simulated_feeds.scenario_files.file import LARGEST_SEED, LONGEST_DAYS, ScenarioFile
from simulated_feeds.scenario_files.parts import sentences
from simulated_feeds.scenario_files.scenario import Scenario

ENDING = ".toml"
_LARGEST_FILE = 200_000
_MOST_TOLD = 20
_FOLDER = files("simulated_feeds.scenario_files")


class UnknownScenarioError(ClutchweatherError, LookupError):
    """There is no scenario of that name."""

    def __init__(self, name: str) -> None:
        super().__init__(
            f"no scenario {shown(name)}; there are {', '.join(names())}, or name a file of your "
            f"own (*{ENDING})"
        )
        self.name = name


class ScenarioFaultsError(ClutchweatherError, ValueError):
    """A scenario asks for what can't be; each fault is a line of its own in ``faults``."""

    def __init__(self, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        told = self.faults[:_MOST_TOLD]
        more = len(self.faults) - len(told)
        super().__init__("\n".join([*told, *([f"and {more} more"] if more else [])]))


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
    except RecursionError as error:
        words = "tables or lists stand in each other too deep"
        raise ScenarioFaultsError([f"{where}: {words}", *faults]) from error
    except ValidationError as error:
        known = ScenarioFile.model_fields
        told = [f"{where}: {sentence}" for sentence in sentences(error, "", known)]
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
        return name, _own_text(Path(name))
    if name not in names():
        raise UnknownScenarioError(name)
    return f"{name}{ENDING}", (_FOLDER / f"{name}{ENDING}").read_text(encoding="utf-8")


def _own_text(path: Path) -> str:
    try:
        # A pipe would let us wait for ever.
        if path.exists() and not path.is_file():
            raise ScenarioFaultsError([f"{path} can't be read: it is no file"])
        if path.stat().st_size > _LARGEST_FILE:
            words = f"it has {path.stat().st_size} bytes; allowed is {_LARGEST_FILE}"
            raise ScenarioFaultsError([f"{path} can't be read: {words}"])
        return path.read_text(encoding="utf-8")
    except (OSError, ValueError) as error:
        if isinstance(error, ScenarioFaultsError):
            raise
        raise ScenarioFaultsError([f"{path} can't be read: {error}"]) from error


def _out_of_range(name: str, told: int | None, least: int, most: int) -> list[str]:
    if told is None or least <= told <= most:
        return []
    return [f"{name} is {told}; allowed is {least} to {most}"]
