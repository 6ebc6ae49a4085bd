"""The stream of what is due, read back by a library and by a reader of our own."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Alarm, Calendar, Event

from dashboards.icalendar_feed import ics_of
from dashboards.views.calendar_view import DueEvent
from service.store.calendar_store import Revision

AT = datetime(2026, 4, 21, 12, 30, 7, 250_000, tzinfo=UTC)
REVISION = Revision(sequence=2, modified_at=AT)


def due(**changed: object) -> DueEvent:
    told: dict[str, object] = {
        "key": "egg 3 ring",
        "first": date(2026, 4, 27),
        "last": date(2026, 4, 29),
        "title": "Box 4: chick 3, ring",
        "why": "Chick 3 hatched 20 April; the ring goes on after 7 to 10 days.",
        "unsure": False,
        "rings": True,
        "rings_again": True,
    }
    return DueEvent(**(told | changed))  # type: ignore[arg-type]


def stream_of(event: DueEvent, name: str = "Hazel shed: nests") -> bytes:
    return ics_of([("uid-1", event)], {"uid-1": REVISION}, name=name)


def event_in(stream: bytes) -> Event:
    (found,) = Calendar.from_ical(stream).walk("VEVENT")
    assert isinstance(found, Event)
    return found


def unfolded(stream: bytes) -> list[bytes]:
    """Content lines by RFC 5545, 3.1: lines end with CRLF, and CRLF with one space or tab
    goes on. Own code, so that a fault of the library is not read away by the library.
    """
    assert stream.endswith(b"\r\n")
    lines: list[bytes] = []
    for line in stream[:-2].split(b"\r\n"):
        assert b"\r" not in line
        assert b"\n" not in line
        if line[:1] in (b" ", b"\t"):
            lines[-1] += line[1:]
        else:
            lines.append(line)
    return lines


def values(stream: bytes) -> dict[bytes, list[bytes]]:
    found: dict[bytes, list[bytes]] = {}
    for line in unfolded(stream):
        name, _, value = line.partition(b":")
        found.setdefault(name, []).append(value)
    return found


# RFC 5545, 3.6.6, "Alarm Component", its second and its first example.
BREAKFAST = (
    "BEGIN:VALARM\r\n"
    "TRIGGER:-PT30M\r\n"
    "REPEAT:2\r\n"
    "DURATION:PT15M\r\n"
    "ACTION:DISPLAY\r\n"
    "DESCRIPTION:Breakfast meeting with executive\\n\r\n"
    "  team at 8:30 AM EST.\r\n"
    "END:VALARM\r\n"
)
AUDIO = (
    "BEGIN:VALARM\r\n"
    "TRIGGER;VALUE=DATE-TIME:19970317T133000Z\r\n"
    "REPEAT:4\r\n"
    "DURATION:PT15M\r\n"
    "ACTION:AUDIO\r\n"
    "END:VALARM\r\n"
)


def test_our_reader_unfolds_the_example_of_the_standard() -> None:
    described = values(BREAKFAST.encode())[b"DESCRIPTION"]
    assert described == [b"Breakfast meeting with executive\\n team at 8:30 AM EST."]


def test_the_library_rings_when_the_standard_says() -> None:
    alarm = Alarm.from_ical(BREAKFAST)
    assert isinstance(alarm, Alarm)
    start = datetime(1997, 3, 18, 8, 30)  # noqa: DTZ001 - a floating time, as in the example
    rings = [start + one for one in alarm.triggers.start]
    assert [f"{one:%H:%M}" for one in rings] == ["08:00", "08:15", "08:30"]
    audio = Alarm.from_ical(AUDIO)
    assert isinstance(audio, Alarm)
    assert [f"{one:%H:%M}" for one in audio.triggers.absolute] == [
        "13:30",
        "13:45",
        "14:00",
        "14:15",
        "14:30",
    ]


def test_an_event_says_what_is_due_on_which_days() -> None:
    event = event_in(stream_of(due()))
    assert str(event["summary"]) == "Box 4: chick 3, ring"
    assert event.decoded("dtstart") == date(2026, 4, 27)
    # RFC 5545, 3.6.1: DTEND is not part of the event.
    assert event.decoded("dtend") == date(2026, 4, 30)
    assert str(event["description"]) == due().why
    assert str(event["status"]) == "CONFIRMED"


def test_what_the_standard_asks_of_every_event_and_calendar_is_there() -> None:
    # RFC 5545, 3.6: PRODID and VERSION in a calendar, once; 3.6.1: UID and DTSTAMP in an event.
    found = values(stream_of(due()))
    for name in (b"PRODID", b"VERSION", b"UID", b"DTSTAMP", b"SEQUENCE", b"LAST-MODIFIED"):
        assert len(found[name]) == 1, name
    assert found[b"VERSION"] == [b"2.0"]
    # 3.3.5, form 2: a time in UTC, in whole seconds.
    assert found[b"DTSTAMP"] == found[b"LAST-MODIFIED"] == [b"20260421T123007Z"]
    assert found[b"SEQUENCE"] == [b"2"]


def test_whole_days_are_dates_without_a_zone() -> None:
    found = values(stream_of(due()))
    assert found[b"DTSTART;VALUE=DATE"] == [b"20260427"]
    assert found[b"DTEND;VALUE=DATE"] == [b"20260430"]


def test_a_ring_rings_on_the_first_and_on_the_last_day() -> None:
    event = event_in(stream_of(due()))
    alarms = [one for one in event.walk("VALARM") if isinstance(one, Alarm)]
    zone = ZoneInfo("Europe/Amsterdam")
    start = datetime(2026, 4, 27, tzinfo=zone)
    end = datetime(2026, 4, 30, tzinfo=zone)
    rings = [start + one for alarm in alarms for one in alarm.triggers.start]
    rings += [end + one for alarm in alarms for one in alarm.triggers.end]
    assert rings == [
        datetime(2026, 4, 27, 8, tzinfo=zone),
        datetime(2026, 4, 29, 8, tzinfo=zone),
    ]
    # RFC 5545, 3.6.6: a display alarm has an ACTION, a TRIGGER and a DESCRIPTION.
    for alarm in alarms:
        assert str(alarm["action"]) == "DISPLAY"
        assert str(alarm["description"])


def test_a_single_day_rings_once() -> None:
    event = event_in(stream_of(due(last=date(2026, 4, 27))))
    assert len(event.walk("VALARM")) == 1
    assert event.decoded("dtend") - event.decoded("dtstart") == timedelta(days=1)


def test_what_the_birds_do_by_themselves_does_not_ring() -> None:
    assert event_in(stream_of(due(rings=False))).walk("VALARM") == []


def test_what_hangs_on_an_egg_is_tentative() -> None:
    assert str(event_in(stream_of(due(unsure=True)))["status"]) == "TENTATIVE"


def test_an_empty_shed_is_a_calendar_without_events() -> None:
    assert Calendar.from_ical(ics_of([], {}, name="Hazel shed")).walk("VEVENT") == []


WORDS = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=200)


@given(WORDS, WORDS)
def test_any_words_are_folded_by_octets_and_come_back_whole(title: str, why: str) -> None:
    stream = stream_of(due(title=title, why=why), name=title)
    for line in stream.split(b"\r\n"):
        # RFC 5545, 3.1: no longer than 75 octets; and each piece is whole characters.
        assert len(line) <= 75
        line.decode()
    event = event_in(stream)
    assert str(event["summary"]) == title
    assert str(event["description"]) == why
    escaped = why.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    assert escaped.encode() in values(stream)[b"DESCRIPTION"]


@pytest.mark.parametrize("evil", ["x\r\nEND:VCALENDAR", "x\nBEGIN:VEVENT", 'a";b:c,d\\n'])
def test_words_from_afar_add_no_line(evil: str) -> None:
    stream = stream_of(due(title=evil))
    assert sum(line.startswith((b"BEGIN:", b"END:")) for line in unfolded(stream)) == 8
    assert len(Calendar.from_ical(stream).walk("VEVENT")) == 1


@pytest.mark.parametrize(
    "told",
    [
        "Box\r\nATTENDEE:mailto:x@example.org",
        "Box\rATTENDEE:mailto:x@example.org",
        "Box\nATTENDEE:mailto:x@example.org",
        "Box\x0bATTENDEE:x",
        "Box\x85ATTENDEE:x",
        "Box\u2028ATTENDEE:x",
        "Box\0ATTENDEE:x",
        "Box\x1b[31mATTENDEE:x",
    ],
)
def test_no_name_begins_a_line_of_its_own(told: str) -> None:
    """Control characters are not in TEXT: RFC 5545, 3.3.11 with 3.1 (TSAFE-CHAR, CONTROL)."""
    stream = stream_of(due(title=told, why=told), name=told).decode()
    assert not [line for line in stream.splitlines() if line.startswith("ATTENDEE")]
    assert not [sign for sign in stream.replace("\r\n", "") if ord(sign) < 32 or sign == "\x7f"]


def test_the_name_of_the_calendar_is_escaped_as_text_is() -> None:
    """RFC 5545, 3.3.11: backslash, semicolon and comma have a backslash before them."""
    lines = unfolded(stream_of(due(), name="Hazel; shed, \\ nests"))
    assert b"X-WR-CALNAME:Hazel\\; shed\\, \\\\ nests" in lines
    assert b"NAME:Hazel\\; shed\\, \\\\ nests" in lines
