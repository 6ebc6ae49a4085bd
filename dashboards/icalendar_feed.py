"""What is due as an iCalendar stream (RFC 5545; its name and refreshing by RFC 7986).

Whole days: DTSTART and DTEND are dates of the shed without a zone, DTEND the day after the
last (3.6.1). An event that moved keeps its UID and counts its SEQUENCE up (3.8.7.4). The
library folds lines at 75 octets and leaves characters whole (3.1).
"""

import unicodedata
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from icalendar import Alarm, Calendar, Event, vDuration, vText

from dashboards.views.calendar_view import DueEvent
from service.store.calendar_store import Revision

PRODUCT = "-//Clutchweather//What is due in the nests//EN"
RING_AT = timedelta(hours=8)
"""After midnight, where the calendar is read."""

_DAY = timedelta(days=1)


def ics_of(
    events: Sequence[tuple[str, DueEvent]],
    revisions: Mapping[str, Revision],
    *,
    name: str,
    refresh: timedelta = timedelta(hours=1),
) -> bytes:
    """The stream. ``events`` are UIDs with what they say, ``name`` is shown for the calendar."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    # The library takes neither for text (RFC 7986, 5.1), so it would escape nothing in them.
    calendar.add("name", _text(name), encode=False)
    calendar.add("x-wr-calname", _text(name), encode=False)
    calendar.add("refresh-interval", vDuration(refresh), parameters={"VALUE": "DURATION"})
    for uid, event in events:
        calendar.add_component(_event(uid, event, revisions[uid]))
    found: bytes = calendar.to_ical()
    return found


def _event(uid: str, due: DueEvent, revision: Revision) -> Event:
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", _whole_second(revision.modified_at))
    event.add("last-modified", _whole_second(revision.modified_at))
    event.add("sequence", revision.sequence)
    event.add("dtstart", due.first)
    event.add("dtend", due.last + _DAY)
    event.add("summary", _text(due.title))
    event.add("description", _text(due.why))
    event.add("status", "TENTATIVE" if due.unsure else "CONFIRMED")
    event.add("transp", "TRANSPARENT")
    if due.rings:
        event.add_component(_alarm(due.title, RING_AT))
    if due.rings and due.rings_again and due.last > due.first:
        event.add_component(_alarm(f"{due.title}: last day", RING_AT - _DAY, related="END"))
    return event


def _alarm(words: str, trigger: timedelta, *, related: str = "START") -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", _text(words))
    alarm.add("trigger", trigger, parameters={"RELATED": related})
    return alarm


def _text(told: str) -> vText:
    """Whatever stands in names and notes as TEXT. It can hold no control characters (3.1), and
    a lone carriage return would end a line for many readers.
    """
    lines = told.replace("\r\n", "\n").replace("\r", "\n")
    return vText("".join(sign for sign in lines if sign == "\n" or not _is_control(sign)))


def _is_control(sign: str) -> bool:
    return unicodedata.category(sign) in {"Cc", "Zl", "Zp"}


def _whole_second(at: datetime) -> datetime:
    """A DATE-TIME has no parts of a second."""
    return at.replace(microsecond=0)
