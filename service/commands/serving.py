"""The pages as a process of their own."""

from pathlib import Path

from dashboards.app import create_app
from dashboards.page_services import PageServices
from dashboards.serving import serve
from devices.errors import ClutchweatherError
from service.clock import Clock
from service.intake.broker_standing import FOLDER, read_standing
from service.machine.broker_accounts import BrokerAccounts
from service.settings.load import load_or_last_good
from service.wiring import heartbeat_of, nest_check_path, open_stores


class PagesCannotServeError(ClutchweatherError):
    """The address can't be had: another program has the port, for example."""


def run_pages(data: Path, config: Path | None, clock: Clock, port: int | None) -> None:
    """Serve the pages on this machine, until asked to stop."""
    settings = load_or_last_good(config, data)
    stores = open_stores(settings, data, writer=False)
    services = PageServices(
        current=lambda: settings,
        clock=clock,
        readings=stores.readings,
        nest_book=stores.records.nest_book,
        alarms=stores.records.alarms,
        requests=stores.records.requests,
        check_path=nest_check_path(settings, stores, clock),
        heartbeat=heartbeat_of(data),
        people=stores.records.people,
        changes=stores.records.changes,
        data=data,
        broker=lambda: read_standing(data),
        broker_accounts=BrokerAccounts(data / FOLDER),
    )
    try:
        serve(create_app(services), settings.bind, port or settings.port)
    except SystemExit as error:
        # uvicorn has said why on standard error.
        where = f"{settings.bind}, port {port or settings.port}"
        raise PagesCannotServeError(f"the pages can't be served on {where}") from error
    finally:
        stores.close()
