"""``clutchweather feed``: a simulated shed, published or recorded."""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import unquote, urlsplit

from service.clock import PacedClock
from service.commands.keeping_alive import stop_on_signals
from service.errors import InputError
from simulated_feeds.mqtt_publisher import Login, publish
from simulated_feeds.recording import record
from simulated_feeds.scenario import Scenario
from simulated_feeds.scenarios import UnknownScenarioError, scenario_named


def scenario_or_fault(name: str) -> Scenario:
    """The scenario of that name with its present now.

    Raises:
        InputError: there is none; the message tells which there are.
    """
    try:
        return scenario_named(name, datetime.now(UTC))
    except UnknownScenarioError as error:
        raise InputError(str(error)) from error


def run_feed(
    name: str, *, broker: str, folder: Path | None, speed: float, say: Callable[[str], None]
) -> None:
    """Publish until asked to stop; or, into ``folder``, write its three weeks of past.

    Raises:
        InputError: no such scenario, or no such kind of address.
    """
    scenario = scenario_or_fault(name)
    if folder is not None:
        count = record(scenario, scenario.start, scenario.origin, folder)
        say(f"{count} messages in {folder}")
        return
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
