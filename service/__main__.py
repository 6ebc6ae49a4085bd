"""The command line: ``clutchweather COMMAND``.

Exit status 0: done; 1: the tool failed; 2: the input is wrong, and the message says which
file, line, key, value and limit.
"""

import logging
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.console import Console

from devices.errors import ClutchweatherError
from service.child_process import end_with_parent
from service.clock import Clock, PacedClock, SystemClock
from service.commands.data_folder import clock_of, default_data_folder, existing
from service.commands.moments import moment
from service.errors import AlreadyRunningError, InputError, NotInThisVersionError

if TYPE_CHECKING:
    from service.commands.install_units import Place

app = typer.Typer(
    name="clutchweather",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help="Watches the air and light of a bird shed, beside the nest records.",
)

book = typer.Typer(no_args_is_help=True, help="The nest book as CSV files, out and in again.")
app.add_typer(book, name="book")

Data = Annotated[
    Path | None, typer.Option("--data", metavar="DIR", help="The data folder of the shed.")
]
Config = Annotated[
    Path | None,
    typer.Option("--config", metavar="FILE", help="Default: clutchweather.toml in the folder."),
]
PacedBy = Annotated[str | None, typer.Option("--clock", hidden=True)]
Root = Annotated[
    Path | None,
    typer.Option("--root", metavar="DIR", help="Write below DIR and start nothing, to look at."),
]
Port = Annotated[int | None, typer.Option("--port", min=1, max=65535)]


def main() -> None:
    """Run a command and end with its exit status."""
    end_with_parent()
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(name)s: %(message)s")
    for noisy in ("paho", "alembic", "httpx"):
        logging.getLogger(noisy).setLevel(logging.WARNING)
    try:
        app()
    except (InputError, NotInThisVersionError, AlreadyRunningError, ValueError) as error:
        if not isinstance(error, ClutchweatherError):
            raise
        _fail(str(error), 2)
    except ClutchweatherError as error:
        _fail(str(error), 1)


def _fail(words: str, status: int) -> None:
    Console(stderr=True, soft_wrap=True, highlight=False, markup=False).print(words)
    sys.exit(status)


def _clock(paced: str | None) -> Clock:
    return SystemClock() if paced is None else PacedClock.parse(paced)


@app.command()
def up(
    data: Data = None,
    config: Config = None,
    broker_port: Annotated[int, typer.Option(hidden=True, min=1, max=65535)] = 1883,
) -> None:
    """Run the service: watch, pages and a broker, started again when they die."""
    from service.commands.running import run_up  # noqa: PLC0415 - the web only where needed

    folder = _whole(data or default_data_folder())
    arguments = ["--data", str(folder), *(["--config", str(config)] if config else [])]
    run_up(arguments, folder, _say, broker_port=broker_port)


@app.command(hidden=True)
def broker(data: Data = None, config: Config = None, port: Port = None) -> None:
    """Look after the broker of ``up``."""
    from service.commands.brokering import run_broker  # noqa: PLC0415 - as below

    run_broker(data or default_data_folder(), config, port or 1883)


@app.command(hidden=True)
def study_tonight(
    at: Annotated[str, typer.Option("--at", metavar="TIME")],
    data: Data = None,
    config: Config = None,
) -> None:
    """Study the nights, as of a time in the shed."""
    from service.commands.studying_tonight import run_study_tonight  # noqa: PLC0415 - as below

    run_study_tonight(data or default_data_folder(), config, moment(at, "--at"))


@app.command()
def watch(data: Data = None, config: Config = None, clock: PacedBy = None) -> None:
    """Listen, store, and watch the limits; no pages."""
    from service.commands.watching import run_watch  # noqa: PLC0415 - no web in this process

    run_watch(_whole(data or default_data_folder()), config, _clock(clock))


@app.command()
def pages(
    data: Data = None, config: Config = None, port: Port = None, clock: PacedBy = None
) -> None:
    """Serve the pages of a data folder."""
    from service.commands.serving import run_pages  # noqa: PLC0415 - as above

    run_pages(_whole(data or default_data_folder()), config, _clock(clock), port)


@app.command()
def demo(
    data: Data = None,
    port: Port = 8460,
    speed: Annotated[
        float, typer.Option(min=1, max=600, help="Seconds in the shed for one real second.")
    ] = 1.0,
    scenario: Annotated[str, typer.Option(help="What the simulated shed shall do.")] = "season",
) -> None:
    """A simulated shed with a past and a present; needs no configuration and no broker."""
    from service.commands.demo import run_demo  # noqa: PLC0415 - as above

    run_demo(scenario=scenario, speed=speed, port=port or 8460, data=data, say=_say)


@app.command()
def replay(
    files: Annotated[list[Path], typer.Argument(metavar="FILE...")],
    data: Data = None,
    config: Config = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the counts as JSON.")] = False,
) -> None:
    """Walk recorded messages into a data folder, by event time."""
    from service.commands.replay import run_replay  # noqa: PLC0415 - as above

    run_replay(files, _whole(data or default_data_folder()), config, as_json=as_json)


@app.command()
def show(  # noqa: PLR0917 - options of a command
    what: str,
    data: Data = None,
    config: Config = None,
    as_json: Annotated[bool, typer.Option("--json", help="For scripts.")] = False,
    since: Annotated[str | None, typer.Option("--from", metavar="TIME")] = None,
    until: Annotated[str | None, typer.Option("--to", metavar="TIME")] = None,
) -> None:
    """Answer a question about a data folder; changes nothing."""
    from service.commands.show import run_show  # noqa: PLC0415 - as above

    folder = existing(data or default_data_folder())
    run_show(
        what,
        folder,
        config,
        clock_of(folder),
        since=_moment(since, "--from"),
        until=_moment(until, "--to"),
        as_json=as_json,
    )


@app.command()
def feed(  # noqa: PLR0917 - options of a command
    scenario: Annotated[str, typer.Argument(help="A name, or a file of your own (*.toml).")],
    broker: Annotated[str, typer.Option(metavar="URL")] = "mqtt://127.0.0.1:1883",
    record: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Write files instead of publishing.")
    ] = None,
    speed: Annotated[float, typer.Option(min=1, max=600)] = 1.0,
    seed: Annotated[int | None, typer.Option(help="Another chance than the scenario's.")] = None,
    days: Annotated[int | None, typer.Option(help="Another length than the scenario's.")] = None,
) -> None:
    """Publish a simulated shed, or record it: messages, the truth, and the nest book."""
    from service.commands.feeding import (  # noqa: PLC0415 - as above
        run_publish,
        run_record,
        scenario_or_fault,
    )

    told = scenario_or_fault(scenario, seed=seed, days=days)
    if record is not None:
        run_record(told, record, _say)
    else:
        run_publish(told, broker, speed, _say)


@app.command()
def backup(
    dest: Annotated[Path | None, typer.Argument(metavar="[DEST]")] = None,
    data: Data = None,
    config: Config = None,
) -> None:
    """Keep everything that a new memory card needs, in one file; also while the service runs.

    DEST is a folder or the name of a new file; without it: "backups" in the data folder.
    """
    from service.commands.backing_up import run_backup  # noqa: PLC0415 - as above

    run_backup(_whole(data or default_data_folder()), dest, config, SystemClock().now(), _say)


@app.command()
def restore(source: Annotated[Path, typer.Argument(metavar="SRC")], data: Data = None) -> None:
    """Put a backup in the place of what is in the data folder; the old is kept beside it."""
    from service.commands.backing_up import run_restore  # noqa: PLC0415 - as above

    run_restore(source, data or default_data_folder(), SystemClock().now(), _say)


@book.command("export")
def book_export(
    folder: Annotated[Path, typer.Argument(metavar="DIR")], data: Data = None, config: Config = None
) -> None:
    """Write the whole nest book into a new folder."""
    from service.commands.book import run_export  # noqa: PLC0415 - as above

    run_export(folder, existing(data or default_data_folder()), config, _say)


@book.command("import")
def book_import(
    folder: Annotated[Path, typer.Argument(metavar="DIR")],
    data: Data = None,
    config: Config = None,
    skip_bad: Annotated[
        bool, typer.Option("--skip-bad", help="Leave out rows at fault, and tell which.")
    ] = False,
) -> None:
    """Take such a folder into an empty book, or into the same book: all of it or nothing."""
    from service.commands.book import run_import  # noqa: PLC0415 - as above

    folder_of_data = _whole(data or default_data_folder())
    run_import(folder, folder_of_data, config, skip_bad=skip_bad, say=_say)


@app.command()
def keeper(name: str, data: Data = None, config: Config = None) -> None:
    """Make a keeper, or give somebody a new password: for whoever holds the machine."""
    from service.commands.keeping_people import run_keeper  # noqa: PLC0415 - as above

    run_keeper(name, _whole(data or default_data_folder()), config, SystemClock().now(), _say)


@app.command()
def doctor(
    data: Data = None,
    config: Config = None,
    deep: Annotated[
        bool, typer.Option("--deep", help="Look through all of both databases: minutes.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="For scripts.")] = False,
) -> None:
    """Tell what is wrong and what to do. Status 0: all well; 1: something to act on."""
    from service.commands.doctor import run_doctor  # noqa: PLC0415 - as above
    from service.machine.machine import Machine  # noqa: PLC0415 - as above

    folder = existing(data or default_data_folder())
    if not run_doctor(folder, config, Machine(), deep=deep, as_json=as_json):
        raise typer.Exit(1)


def _whole(data: Path) -> Path:
    """The folder, after finishing a restore that was cut short there."""
    from service.backup.restore_journal import settle  # noqa: PLC0415 - as above

    settle(data)
    return data


@app.command()
def install_units(
    root: Root = None,
    tls: Annotated[
        bool, typer.Option("--tls", help="An encrypted door at the broker too, port 8883.")
    ] = False,
    user: Annotated[str, typer.Option(help="Whom the service runs as.")] = "clutchweather",
) -> None:
    """Let systemd run the service, after a power cut too; needs root."""
    from service.commands.install_units import run_install_units  # noqa: PLC0415 - as above

    run_install_units(_place(root), user=user, tls=tls, now=SystemClock().now(), say=_say)


@app.command()
def update(folder: Annotated[Path, typer.Argument(metavar="FOLDER")], root: Root = None) -> None:
    """Put another version in use, after a backup; needs root."""
    from service.commands.updating import Change, run_update  # noqa: PLC0415 - as above

    run_update(folder, Change(place=_place(root), now=SystemClock().now(), say=_say))


@app.command()
def go_back(root: Root = None) -> None:
    """Put the version before in use again; needs root."""
    from service.commands.updating import Change, run_go_back  # noqa: PLC0415 - as above

    run_go_back(Change(place=_place(root), now=SystemClock().now(), say=_say))


@app.command()
def uninstall(root: Root = None) -> None:
    """Take the program away and leave the data; needs root."""
    from service.commands.removing import run_uninstall  # noqa: PLC0415 - as above

    run_uninstall(_place(root), _say)


def _place(root: Path | None) -> "Place":
    from service.commands.install_units import Place  # noqa: PLC0415 - as above

    if root is None:
        return Place()
    return Place(root=root.absolute(), orders=False, make_venv=lambda _place: None)


def _moment(text: str | None, option: str) -> datetime | None:
    return None if text is None else moment(text, option)


def _say(words: str) -> None:
    Console(soft_wrap=True, highlight=False, markup=False).print(words)


if __name__ == "__main__":
    main()
