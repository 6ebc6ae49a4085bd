"""The pages as a process of their own."""

from pathlib import Path

from dashboards.app import create_app
from dashboards.page_services import PageServices
from dashboards.serving import serve
from devices.errors import ClutchweatherError
from service.clock import Clock
from service.intake.broker_standing import FOLDER, read_standing
from service.machine.broker_accounts import BrokerAccounts
from service.settings.current import CurrentSettings
from service.settings.load import read_file_or_last_good
from service.settings.written import is_loopback
from service.wiring import heartbeat_of, nest_check_path, open_shed, settings_editor

LOOPBACK = "127.0.0.1"


class PagesCannotServeError(ClutchweatherError):
    """The address can't be had: another program has the port, for example."""


def run_pages(data: Path, config: Path | None, clock: Clock, port: int | None) -> None:
    """Serve the pages on this machine, until asked to stop."""
    stated = read_file_or_last_good(config, data)
    settings, stores = open_shed(stated, data, writer=False)
    current = CurrentSettings(stated, data, stores.records.kept)
    services = PageServices(
        current=current,
        clock=clock,
        readings=stores.readings,
        nest_book=stores.records.nest_book,
        alarms=stores.records.alarms,
        requests=stores.records.requests,
        check_path=nest_check_path(current, stores, clock),
        heartbeat=heartbeat_of(data),
        people=stores.records.people,
        changes=stores.records.changes,
        editor=settings_editor(stated, data, stores, current),
        data=data,
        broker=lambda: read_standing(data),
        broker_accounts=BrokerAccounts(data / FOLDER),
    )
    bind = settings.bind if is_loopback(settings.bind) else LOOPBACK
    try:
        serve(create_app(services), bind, port or settings.port)
    except SystemExit as error:
        # uvicorn has said why on standard error.
        where = f"{bind}, port {port or settings.port}"
        raise PagesCannotServeError(f"the pages can't be served on {where}") from error
    finally:
        stores.close()
