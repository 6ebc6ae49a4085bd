"""The pages as a process of their own."""

import sys
from dataclasses import replace
from pathlib import Path

from dashboards.app import create_app
from dashboards.page_services import PageServices
from dashboards.serving import Address, CannotServeError, Serving, certificate_of
from devices.errors import ClutchweatherError
from service.clock import Clock, SystemClock
from service.commands.first_code_on_console import offer_first_code
from service.commands.keeping_alive import stop_on_signals
from service.intake.broker_standing import FOLDER
from service.machine.broker_accounts import BrokerAccounts
from service.machine.broker_reached import standing_now
from service.machine.glibc_memory import give_large_pieces_back
from service.machine.own_addresses import own_names
from service.machine.systemd_notify import told_while_answering
from service.settings.load import read_file_or_last_good
from service.wiring import (
    current_settings,
    heartbeat_of,
    nest_check_path,
    open_shed,
    settings_editor,
)

LOOPBACK = "127.0.0.1"
THIS_MACHINE = (LOOPBACK, "localhost")


class PagesCannotServeError(ClutchweatherError):
    """The address can't be had: another program has the port, for example."""


def run_pages(data: Path, config: Path | None, clock: Clock, port: int | None) -> None:
    """Serve the pages until asked to stop: on this machine, and beyond once there is a keeper.

    Raises:
        PagesCannotServeError: the address on this machine can't be had.
    """
    give_large_pieces_back()
    stated = read_file_or_last_good(config, data)
    settings, stores = open_shed(stated, data, writer=False)
    current = current_settings(stated, data, stores.records)
    services = PageServices(
        current=current,
        renew=current.renew,
        clock=clock,
        readings=stores.readings,
        nest_book=stores.records.nest_book,
        birds=stores.records.birds,
        cages=stores.records.cages,
        seasons=stores.records.seasons,
        visit_times=stores.records.visit_times,
        duties=stores.records.duties,
        running_low=stores.records.running_low,
        suggestions=stores.records.suggestions,
        calendars=stores.records.calendars,
        alarms=stores.records.alarms,
        requests=stores.records.requests,
        check_path=nest_check_path(current, stores, clock),
        heartbeat=heartbeat_of(data),
        people=stores.records.people,
        calibrations=stores.records.calibrations,
        changes=stores.records.changes,
        outlook=stores.records.outlook,
        treatments=stores.records.treatments,
        editor=settings_editor(stated, data, stores, current),
        data=data,
        broker=lambda: standing_now(data),
        broker_accounts=BrokerAccounts(data / FOLDER),
    )
    told: list[Serving] = []
    services = replace(
        services,
        hosts=(*services.hosts, *own_names()),
        notes=lambda: told[0].notes if told else (),
    )
    here = Address(host=LOOPBACK, port=port or settings.port)
    stop = stop_on_signals()
    try:
        serving = Serving(create_app(services), here)
        told.append(serving)
        offer_first_code(
            services.people, here.port, clock.now(), _say, short=not isinstance(clock, SystemClock)
        )
        with told_while_answering(lambda: (LOOPBACK, here.port, False)):
            serving.follow(lambda: beyond(services, here.port), stop)
    except CannotServeError as error:
        raise PagesCannotServeError(f"the pages can't be served: {error}") from error
    finally:
        stores.close()


def beyond(services: PageServices, port: int) -> Address | None:
    """Where the pages shall answer besides this machine itself: nowhere without a keeper.

    Raises:
        StoreUnavailableError: whether there is one can't be told just now.
    """
    settings = services.settings
    if settings.bind in THIS_MACHINE or not services.people.has_keeper():
        return None
    certificate = certificate_of(settings.certificate_file, settings.key_file)
    return Address(host=settings.bind, port=port, certificate=certificate)


def _say(words: str) -> None:
    sys.stdout.write(f"{words}\n")
    sys.stdout.flush()
