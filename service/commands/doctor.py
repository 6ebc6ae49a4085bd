"""``clutchweather doctor``: what is wrong, and what to do."""

import json
from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path

from rich.console import Console

from devices.errors import ClutchweatherError
from service.errors import ConfigurationError, StoreUnavailableError
from service.looks.all_looks import look_at_all
from service.looks.surroundings import Surroundings
from service.machine.finding import Finding, State
from service.machine.machine import Machine
from service.settings.load import LAST_GOOD_NAME, default_settings, load_settings
from service.settings.settings import Settings
from service.store.sql_records import open_records_as_they_are

_MARKS = {State.WELL: "   ", State.LOOK: ">> ", State.CANNOT_TELL: " ? "}


def run_doctor(
    data: Path, config: Path | None, machine: Machine, *, deep: bool, as_json: bool
) -> bool:
    """Look at everything and print what was found; whether all is well.

    What can't be told is not well.
    """
    settings, faults = _settings(config, data)
    findings = look_at_all(
        Surroundings(
            data=data,
            settings=settings,
            faults=faults,
            machine=machine,
            now=machine.now(),
            deep=deep,
        )
    )
    if as_json:
        print(json.dumps([asdict(one) for one in findings]))  # noqa: T201 - asked for
    else:
        _print(findings, Console(soft_wrap=True, highlight=False, markup=False).print)
    return all(one.state is State.WELL for one in findings)


def _settings(config: Path | None, data: Path) -> tuple[Settings, tuple[str, ...]]:
    """The settings that hold, and all that is wrong with those that should."""
    try:
        settings = _with_those_of_the_pages(config, data)
    except ConfigurationError as error:
        return _last_good(data), error.faults
    return settings, settings.faults


def _last_good(data: Path) -> Settings:
    try:
        return _with_those_of_the_pages(data / LAST_GOOD_NAME, data)
    except ConfigurationError:
        return default_settings(data)


def _with_those_of_the_pages(file: Path | None, data: Path) -> Settings:
    """The records are only read; where that fails, the look at the databases tells it."""
    stated = load_settings(file, data)
    try:
        records = open_records_as_they_are(stated.records_url, data)
    except ClutchweatherError:
        return stated
    if records is None:
        return stated
    try:
        return load_settings(file, data, records.kept.read())
    except StoreUnavailableError:
        return stated
    finally:
        records.close()


def _print(findings: Sequence[Finding], say: Callable[[str], None]) -> None:
    """What is to be acted on stands last, where the eye is."""
    for one in sorted(findings, key=lambda one: one.state is not State.WELL):
        told = "" if one.state is State.WELL else f"{one.state}: "
        say(f"{_MARKS[one.state]}{one.what}: {told}{one.sentence}")
        if one.to_do:
            say(f"      {one.to_do}")
    wrong = sum(one.state is State.LOOK for one in findings)
    unknown = sum(one.state is State.CANNOT_TELL for one in findings)
    if not wrong and not unknown:
        say("All well.")
    else:
        say(f"{wrong} to look at, {unknown} that can't be told, of {len(findings)}.")
