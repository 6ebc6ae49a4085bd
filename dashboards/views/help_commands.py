"""The commands that help names, whole, for this data folder. Pure."""

from dataclasses import dataclass
from pathlib import Path
from shlex import quote

from service.machine.systemd_units import DATA, NAME

_INSTALLED = f"/opt/{NAME}/current/service/start"


@dataclass(frozen=True, slots=True, kw_only=True)
class HelpCommands:
    """``installed``: the data are those of the service that starts with the machine."""

    data: str
    installed: bool
    backup: str
    restore: str
    doctor: str
    keeper: str
    book_out: str
    book_in: str


def help_commands(data: Path) -> HelpCommands:
    """What is done with the data of the installed service is done in its name.

    Only a restore needs more: it puts a folder in the place of another.
    """
    installed = data == Path(DATA)
    program = f"sudo -u {NAME} {_INSTALLED}" if installed else "./service/start"
    as_root = "sudo ./service/start" if installed else "./service/start"
    folder = f"--data {quote(str(data))}"
    return HelpCommands(
        data=str(data),
        installed=installed,
        backup=f"{program} backup FOLDER {folder}",
        restore=f"{as_root} restore FILE {folder}",
        doctor=f"{program} doctor {folder}",
        keeper=f"{program} keeper NAME {folder}",
        book_out=f"{program} book export FOLDER {folder}",
        book_in=f"{program} book import FOLDER {folder}",
    )
