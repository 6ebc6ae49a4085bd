"""Duties, sheds and things done, told in short."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from service.nests.duty import (
    ByCalendar,
    Duty,
    DutyDone,
    DutySlot,
    DutyTerms,
    DutyWhere,
    Missed,
    Visit,
    VisitTimes,
    WhereKind,
)
from service.nests.duty_days import ShedDays
from service.nests.nest import Nest
from service.nests.place import Place, PlaceKind

LONG_AGO = datetime(2024, 1, 1, tzinfo=UTC)
AMSTERDAM = ZoneInfo("Europe/Amsterdam")
ZONES = (
    "Europe/Amsterdam",
    "Europe/London",
    "America/New_York",
    "America/Nuuk",
    "Australia/Lord_Howe",
    "Pacific/Auckland",
    "Atlantic/Azores",
    "UTC",
)
THREE_A_DAY = VisitTimes(morning=time(5), midday=time(11), evening=time(16))
PLACES = (
    Place(id="shed", kind=PlaceKind.SHED, name="Hazel shed"),
    Place(id="cage-1", kind=PlaceKind.CAGE, name="Cage 1", within="shed", order=1),
    Place(id="box-1", kind=PlaceKind.BOX, name="Box 1", within="cage-1", order=2),
    Place(id="cage-2", kind=PlaceKind.CAGE, name="Cage 2", within="shed", order=3),
    Place(id="box-2", kind=PlaceKind.BOX, name="Box 2", within="cage-2", order=4),
    Place(id="flight-1", kind=PlaceKind.FLIGHT, name="Flight 1", within="shed", order=5),
)
BOXES = tuple(Nest(box=place) for place in PLACES if place.kind is PlaceKind.BOX)


def terms(name: str = "Seed", where: WhereKind = WhereKind.SHED, **more: Any) -> DutyTerms:
    told: dict[str, Any] = {"schedule": ByCalendar(), "since": LONG_AGO} | more
    return DutyTerms(name=name, where=DutyWhere(kind=where), **told)


def duty(name: str = "Seed", where: WhereKind = WhereKind.SHED, **more: Any) -> Duty:
    return Duty(id=1, terms=terms(name, where, **more))


def carried(**more: Any) -> Duty:
    return duty(missed=Missed.CARRIED, **more)


def shed(now: datetime, zone: Any = AMSTERDAM, **more: Any) -> ShedDays:
    told: dict[str, Any] = {"nests": BOXES, "places": PLACES, "now": now, "zone": zone} | more
    return ShedDays(**told)


def at(day: date, hour: float, zone: Any = AMSTERDAM) -> datetime:
    """An hour of a day by the shed's clock, as UTC."""
    local = time(int(hour), round(hour % 1 * 60))
    return datetime.combine(day, local, zone).astimezone(UTC)


def slot(day: date, visit: Visit = Visit.MORNING, place: str = "shed") -> DutySlot:
    return DutySlot(duty_id=1, place=place, day=day, visit=visit)


def done(
    day: date, visit: Visit = Visit.MORNING, place: str = "shed", undone: datetime | None = None
) -> DutyDone:
    told = LONG_AGO if undone is None else undone
    return DutyDone(id=1, slot=slot(day, visit, place), words="Seed", at=told, undone_at=undone)


def zones() -> st.SearchStrategy[ZoneInfo]:
    return st.sampled_from(ZONES).map(ZoneInfo)


def days() -> st.SearchStrategy[date]:
    """Any day of four years, changes of the clocks and turns of the year often among them."""
    turns = [date(2026, 3, 28), date(2026, 3, 8), date(2026, 10, 24), date(2026, 11, 1)]
    turns += [date(2026, 12, 30), date(2026, 12, 31), date(2027, 1, 1), date(2028, 2, 29)]
    return st.sampled_from(turns) | st.dates(date(2025, 6, 1), date(2029, 6, 1))


@st.composite
def visit_times(draw: st.DrawFn) -> VisitTimes:
    """Any that are allowed."""
    first = draw(st.integers(0, 17 * 60))
    second = draw(st.integers(first + 120, 20 * 60))
    last = min(first + 22 * 60, 23 * 60 + 59)
    third = draw(st.none() | st.integers(second + 120, last) if second + 120 <= last else st.none())
    told: Sequence[int] = [first, second] if third is None else [first, second, third]
    clock = [time(minute // 60, minute % 60) for minute in told]
    if third is None:
        return VisitTimes(morning=clock[0], evening=clock[1])
    return VisitTimes(morning=clock[0], midday=clock[1], evening=clock[2])
