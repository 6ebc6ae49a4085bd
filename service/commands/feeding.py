"""``clutchweather feed``: a simulated shed, published or recorded."""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import unquote, urlsplit

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

from service.clock import PacedClock
from service.commands.keeping_alive import stop_on_signals
from service.errors import InputError
from simulated_feeds.day import MINUTE
from simulated_feeds.mqtt_publisher import Login, publish
from simulated_feeds.present import scenario_at
from simulated_feeds.records.recording import record
from simulated_feeds.scenario_files.reading import ScenarioFaultsError, UnknownScenarioError
from simulated_feeds.scenario_files.scenario import Scenario


def scenario_or_fault(name: str, *, seed: int | None = None, days: int | None = None) -> Scenario:
    """The scenario of that name or path with its present where it belongs.

    Raises:
        InputError: there is none (the message tells which there are), or it asks for what
            can't be.
    """
    try:
        return scenario_at(name, datetime.now(UTC), seed=seed, days=days)
    except (UnknownScenarioError, ScenarioFaultsError) as error:
        raise InputError(str(error)) from error


def run_record(scenario: Scenario, folder: Path, say: Callable[[str], None]) -> None:
    """Write a scenario's files into a folder, and show how far it is.

    Raises:
        InputError: the folder can't be written.
    """
    columns = (TextColumn("{task.description}"), BarColumn(), TimeRemainingColumn())
    minutes = (scenario.origin - scenario.start) // MINUTE
    try:
        with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
            task = bar.add_task(f"recording {scenario.days} days", total=minutes)

            def tell(at: datetime) -> None:
                bar.update(task, completed=(at - scenario.start) // MINUTE)

            count = record(scenario, folder, tell)
    except OSError as error:
        raise InputError(f"{folder} can't be written: {error}") from error
    say(f"{count} messages in {folder}")


def run_publish(scenario: Scenario, broker: str, speed: float, say: Callable[[str], None]) -> None:
    """Publish until asked to stop.

    Raises:
        InputError: no such kind of address.
    """
    url = urlsplit(broker)
    if url.scheme not in ("mqtt", "mqtts") or not url.hostname:
        raise InputError(f"--broker {broker}: write mqtt://host:port or mqtts://host:port")
    tls = url.scheme == "mqtts"
    login = Login(
        username=unquote(url.username) if url.username else None,
        password=unquote(url.password) if url.password else None,
        tls=tls,
    )
    clock = PacedClock.starting(scenario.origin, speed)
    say(f"publishing to {url.hostname}; stop with Ctrl-C")
    publish(
        scenario,
        url.hostname,
        url.port or (8883 if tls else 1883),
        now=clock.now,
        speed=speed,
        stop=stop_on_signals(),
        login=login,
    )
