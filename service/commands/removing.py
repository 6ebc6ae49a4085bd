"""``clutchweather uninstall``: takes the program away, and leaves the data."""

from service.commands.install_units import (
    BROKER_CONFIGURATION,
    Place,
    Say,
    refuse_who_may_not,
)
from service.errors import InputError
from service.machine.systemd_control import OrderFailedError
from service.machine.systemd_units import ENABLED, NAME, unit_files


def run_uninstall(place: Place, say: Say) -> None:
    """Stop and remove what install-units put in place.

    Raises:
        InputError: not root, or nothing is installed.
    """
    refuse_who_may_not(place, "uninstall")
    installed = [place.root / name for name in unit_files(NAME)]
    installed = [file for file in installed if file.exists()]
    if not installed and not place.versions.folder.exists():
        raise InputError(f"{place.root}: nothing of Clutchweather is installed there")
    _order(place, say, "disable", "--now", *ENABLED)
    for file in installed:
        file.unlink()
    configuration = place.root / BROKER_CONFIGURATION
    had_broker = configuration.exists()
    configuration.unlink(missing_ok=True)
    _order(place, say, "daemon-reload")
    if had_broker:
        # Without our file it answers this machine only, and no sensor is let in any more.
        _order(place, say, "restart", "mosquitto.service")
    say("Nobody watches the shed from now on.")
    say(f"The data are left as they are, in {place.data}; copy them before you remove them:")
    say(f"  readings, nest book, settings, backups and the broker's passwords: {place.data}")
    say(f'The user "{place.data.owner()}" owns them and stays too.' if place.data.exists() else "")
    place.versions.remove_all()


def _order(place: Place, say: Say, *arguments: str) -> None:
    """What systemd does not do is told, and the rest is removed all the same."""
    if not place.orders:
        return
    try:
        place.systemd.control(*arguments)
    except OrderFailedError as error:
        say(f"Look at this: {error}")
