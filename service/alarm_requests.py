"""What pages ask of the alarms, carried out by watch; what came of it in words."""

from collections.abc import Callable, Mapping
from datetime import datetime

from service.alarm_path import AlarmPath
from service.alarms.shelf_wish import wish_from
from service.errors import InputError, NotKnownError
from service.store.alarm_store import Request, RequestKind

DONE = "done"


def carry_out(alarms: AlarmPath, request: Request, at: datetime) -> str:
    """Carry out one of ``ASKED_OF_ALARMS`` and save it; a refusal is told, not raised.

    Raises:
        StoreUnavailableError: it is done, and waits to be written.
    """
    try:
        _CARRIED_OUT[request.kind](alarms, request, at)
    except (NotKnownError, InputError) as error:
        return str(error)
    alarms.save()
    return DONE


def _acknowledge(alarms: AlarmPath, request: Request, at: datetime) -> None:
    alarms.acknowledge(request.subject, by=request.by, at=at)


def _reset(alarms: AlarmPath, request: Request, at: datetime) -> None:
    alarms.reset(request.subject, by=request.by, at=at)


def _shelve(alarms: AlarmPath, request: Request, at: datetime) -> None:
    alarms.shelve(request.subject, wish_from(request.body), by=request.by, at=at)


def _out_of_service(alarms: AlarmPath, request: Request, at: datetime) -> None:
    alarms.take_out_of_service(request.subject, wish_from(request.body), by=request.by, at=at)


def _put_back(alarms: AlarmPath, request: Request, at: datetime) -> None:
    alarms.put_back(request.subject, by=request.by, at=at)


_CARRIED_OUT: Mapping[RequestKind, Callable[[AlarmPath, Request, datetime], None]] = {
    RequestKind.ACKNOWLEDGE: _acknowledge,
    RequestKind.RESET: _reset,
    RequestKind.SHELVE: _shelve,
    RequestKind.UNSHELVE: _put_back,
    RequestKind.OUT_OF_SERVICE: _out_of_service,
    RequestKind.INTO_SERVICE: _put_back,
}

ASKED_OF_ALARMS = frozenset(_CARRIED_OUT)
