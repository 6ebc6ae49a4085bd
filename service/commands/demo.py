"""``clutchweather demo``: a simulated shed with a past and a present.

The past goes through the walks of a reading and of a nest check, the present through a
private broker on loopback: nothing reaches a page by another way.
"""

import socket
import tempfile
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn

from devices.message import Message
from service.clock import PacedClock
from service.commands.feeding import scenario_or_fault
from service.commands.keeping_alive import Child, keep_alive, stop_on_signals
from service.commands.replaying import replay_messages
from service.commands.telling_the_duties import tell_duties
from service.commands.telling_the_story import tell_story
from service.errors import InputError
from service.intake.data_lock import DataLock
from service.intake.mqtt_private_broker import PrivateBroker
from service.settings.load import FILE_NAME, load_settings
from service.wiring import open_stores
from simulated_feeds.day import MINUTE
from simulated_feeds.days import Shed
from simulated_feeds.house import places
from simulated_feeds.keeper.story import story_of
from simulated_feeds.mqtt_publisher import publish
from simulated_feeds.records.configuration import config_toml
from simulated_feeds.scenario_files.scenario import Scenario
from simulated_feeds.stream import messages

MARK = "invented-by-the-demo"
STORES = ("readings.db", "records.db")
TELL_EVERY = 2000
LOOPBACK = "127.0.0.1"
ASK_AGAIN_AFTER_S = 0.1


def run_demo(
    *, scenario: str, speed: float, port: int, data: Path | None, say: Callable[[str], None]
) -> None:
    """Prepare, tell the addresses, and run until asked to stop.

    Raises:
        InputError: no such scenario, or a data folder with something else in it.
    """
    shed = scenario_or_fault(scenario)
    with _folder(data) as folder, PrivateBroker(folder / "broker") as broker:
        configuration = config_toml(shed, broker_port=broker.port, pages_port=port)
        (folder / FILE_NAME).write_text(configuration)
        _prepare(shed, folder)
        stop = stop_on_signals()
        clock = PacedClock.starting(shed.origin, speed)
        feeding = threading.Thread(
            target=publish,
            args=(shed, broker.address.host, broker.port),
            kwargs={"now": clock.now, "speed": speed, "stop": stop},
            name="simulated-shed",
            daemon=True,
        )
        feeding.start()
        # Who is told an address goes there at once.
        threading.Thread(
            target=_once_pages_answer,
            args=(port, stop, lambda: _tell(say, port, folder, shed, speed)),
            name="telling",
            daemon=True,
        ).start()
        arguments = ["--data", str(folder), "--clock", str(clock)]
        children = [Child("watch", ["watch", *arguments]), Child("pages", ["pages", *arguments])]
        keep_alive(children, stop, say)
        feeding.join(5)


@contextmanager
def _folder(data: Path | None) -> Iterator[Path]:
    """A folder that goes when the demo ends; or the one that was named, emptied of the last
    demo.
    """
    if data is None:
        with tempfile.TemporaryDirectory(prefix="clutchweather-demo-") as folder:
            yield Path(folder)
        return
    data.mkdir(parents=True, exist_ok=True)
    strange = sorted(file.name for file in data.iterdir())
    if strange and MARK not in strange:
        raise InputError(
            f"{data} is not empty ({strange[0]}): a demo would mix its invented birds with "
            "what is there. Name a folder that is empty or new."
        )
    with DataLock(data):
        (data / MARK).touch()
        for name in STORES:
            for file in data.glob(f"{name}*"):
                file.unlink()
    yield data


def _prepare(scenario: Scenario, folder: Path) -> None:
    """Fill the past, and show how far it is."""
    settings = load_settings(None, folder)
    shed = Shed(scenario)
    columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn())
    console = Console(stderr=True)
    with DataLock(folder), Progress(*columns, console=console) as bar:
        stores = open_stores(settings, folder, writer=True)
        try:
            minutes = (scenario.origin - scenario.start) // MINUTE
            air = bar.add_task("three weeks of air and light", total=minutes)
            past = _past(scenario, shed, lambda done: bar.update(air, completed=done))
            replay_messages(past, settings, folder, stores)
            bar.update(air, completed=minutes)
            book = story_of(shed.book(), places())
            checks = bar.add_task("a season of nest checks", total=len(book.checks))
            tell_story(book, settings, stores, lambda done: bar.advance(checks, done))
            tell_duties(settings, stores, scenario.origin)
        finally:
            stores.close()


def _past(scenario: Scenario, shed: Shed, progress: Callable[[int], None]) -> Iterable[Message]:
    past = messages(
        shed.days(),
        scenario.senders,
        seed=scenario.seed,
        happenings=scenario.happenings,
        until=scenario.origin,
    )
    for number, sent in enumerate(past):
        if number % TELL_EVERY == 0:
            progress((sent.at - scenario.start) // MINUTE)
        yield Message(topic=sent.topic, payload=sent.payload, received_at=sent.at)


def _once_pages_answer(port: int, stop: threading.Event, then: Callable[[], None]) -> None:
    while not stop.is_set():
        try:
            socket.create_connection((LOOPBACK, port), timeout=1).close()
        except OSError:
            stop.wait(ASK_AGAIN_AFTER_S)
        else:
            then()
            return


def _tell(
    say: Callable[[str], None], port: int, folder: Path, shed: Scenario, speed: float
) -> None:
    here = f"http://{LOOPBACK}:{port}"
    local = shed.origin.astimezone(shed.zone)
    say(f"A simulated shed, {local:%d %B %Y, %H:%M}; nothing in it is real.")
    if speed != 1:
        say(f"{speed:g} seconds pass in it for one of yours.")
    for page, what in (
        ("/wall", "is all well, and which nest is next"),
        ("/today", "what is to do on this visit"),
        ("/nests", "the nests"),
        ("/air", "how the nights were, and what tonight may bring"),
        ("/alarms", "what is wrong, and what was"),
        ("/sensors", "who is talking"),
    ):
        say(f"  {here}{page:10} {what}")
    say(f"From a script: ./service/start show latest --data {folder} --json")
    say("Stop with Ctrl-C.")
