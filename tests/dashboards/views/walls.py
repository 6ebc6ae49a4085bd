"""Walls in all their states, made from values."""

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from dashboards.views.rail_view import rail_view
from dashboards.views.shed_state import Believed, ShedState, shed_state
from dashboards.views.wall_view import LastNight, WallView, wall_view
from devices.reading import Quantity
from service.alarms.alarm import Alarm, AlarmState
from service.nests.due import Due
from service.nests.place import PlaceKind
from service.quality.flag import Flag
from service.rules.limit import Priority
from service.settings.settings import Settings
from service.store.reading_store import Heard, Latest, Series
from tests.dashboards.filled_shed import NOW, OVERDUE, ZONE, places, settings

LONG_AGO = timedelta(minutes=156)
SERIES = (
    ("th-shed", "shed", Quantity.TEMPERATURE, 12.0),
    ("th-shed", "shed", Quantity.RELATIVE_HUMIDITY, 60.0),
    ("th-2", "box-2", Quantity.TEMPERATURE, 14.0),
)


def newest(*, skip: tuple[str, ...] = (), flag: Flag = Flag.PASS) -> tuple[Latest, ...]:
    found = []
    for n, (device, place, quantity, value) in enumerate(SERIES, start=1):
        at = NOW - (LONG_AGO if device in skip else timedelta(seconds=30))
        found.append(
            Latest(
                series=Series(id=n, device=device, place=place, quantity=quantity),
                measured_at=at,
                received_at=at,
                value=value,
                flag=flag,
                reason="",
            )
        )
    return tuple(found)


def heard(*, skip: tuple[str, ...] = ()) -> tuple[Heard, ...]:
    found = []
    for device in ("th-shed", "th-2"):
        at = NOW - (LONG_AGO if device in skip else timedelta(seconds=30))
        found.append(Heard(device=device, at=at, deadline=at + OVERDUE))
    return tuple(found)


_SETPOINTS = {"cold": 5.0, "hot": 28.0, "damp": 80.0, "dry": 40.0}


def alarm(
    rule: str = "cold",
    *,
    place: str = "shed",
    priority: Priority = Priority.HIGH,
    state: AlarmState = AlarmState.UNACKNOWLEDGED,
    ago: timedelta = timedelta(hours=1),
    value: float = 4.0,
    cleared_at: datetime | None = None,
) -> Alarm:
    return Alarm(
        id=f"{rule}-{place}",
        rule=rule,
        place=place,
        priority=priority,
        state=state,
        raised_at=NOW - ago,
        value=value,
        setpoint=_SETPOINTS.get(rule, 5.0),
        text="told",
        cleared_at=cleared_at,
    )


def state_of(
    set_up: Settings,
    *alarms: Alarm,
    values: tuple[Latest, ...] | None = None,
    believed: tuple[Believed, ...] = (),
    skip: tuple[str, ...] = (),
    trouble: str | None = None,
    night: bool | None = False,
) -> ShedState:
    return shed_state(
        settings=set_up,
        alarms=alarms,
        newest=newest(skip=skip) if values is None else values,
        believed=believed,
        heard=heard(skip=skip) if set_up.sensors else (),
        trouble=trouble,
        watch_last_at=NOW,
        night=night,
        now=NOW,
    )


def wall_of(
    *alarms: Alarm,
    set_up: Settings | None = None,
    values: tuple[Latest, ...] | None = None,
    skip: tuple[str, ...] = (),
    trouble: str | None = None,
    dues: tuple[Due, ...] = (),
    night: bool = False,
) -> WallView:
    set_up = set_up or settings(Path("/nowhere"))
    shown = newest(skip=skip) if values is None else values
    boxes = [place for place in set_up.places if place.kind is PlaceKind.BOX]
    return wall_view(
        settings=set_up,
        state=state_of(set_up, *alarms, values=shown, skip=skip, trouble=trouble),
        newest=shown,
        channel=None,
        night_low=LastNight(low_c=6.2, low_at=NOW, going_on=False),
        rail=rail_view(boxes, dues, NOW, ZONE),
        night=night,
    )


def set_up_with(boxes: int = 4, box_name: str = "Box {n}", **changed: object) -> Settings:
    made = settings(Path("/nowhere"), boxes)
    return replace(made, places=places(boxes, box_name), **changed)  # type: ignore[arg-type]
