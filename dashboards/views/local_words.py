"""Times, degrees and counts as people in the shed read them. The only place of local time."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

MINUS = "\N{MINUS SIGN}"
_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def clock_time(at: datetime, zone: ZoneInfo) -> str:
    """``22:50``."""
    return at.astimezone(zone).strftime("%H:%M")


def local_day(at: datetime, zone: ZoneInfo) -> date:
    """The day in the shed's own time."""
    return at.astimezone(zone).date()


def start_of_day(day: date, zone: ZoneInfo) -> datetime:
    """The first instant of a local day, in UTC; days of 23 and 25 hours come out right."""
    return datetime(day.year, day.month, day.day, tzinfo=zone).astimezone(UTC)


def day_word(day: date) -> str:
    """``26 April``."""
    return f"{day.day} {_MONTHS[day.month - 1]}"


def day_short(day: date) -> str:
    """``26 Apr``."""
    return f"{day.day} {_MONTHS[day.month - 1][:3]}"


def weekday(day: date) -> str:
    """``Thursday``."""
    return _DAYS[day.weekday()]


def near_day(day: date, today: date) -> str:
    """``today``, ``tomorrow``, ``yesterday``, else ``26 April``."""
    match (day - today).days:
        case 0:
            return "today"
        case 1:
            return "tomorrow"
        case -1:
            return "yesterday"
        case _:
            return day_word(day)


def span_of_days(first: date, last: date, today: date) -> str:
    """``today or tomorrow``, ``27 to 29 April``, ``29 April to 2 May``, ``26 April``."""
    if first == last:
        return near_day(first, today)
    if first == today and last == today + timedelta(days=1):
        return "today or tomorrow"
    if first.month == last.month and first.year == last.year:
        return f"{first.day} to {day_word(last)}"
    return f"{day_word(first)} to {day_word(last)}"


def moment(at: datetime, now: datetime, zone: ZoneInfo) -> str:
    """``22:50`` for today, else with its day: ``yesterday 22:50``, ``26 April 22:50``."""
    day, today = local_day(at, zone), local_day(now, zone)
    told = clock_time(at, zone)
    return told if day == today else f"{near_day(day, today)} {told}"


def age(seconds: float) -> str:
    """``40 s``, ``5 min``, ``3 h``, ``2 days``: rounded down, never better than it is by much."""
    if seconds < 90:
        return f"{int(seconds)} s"
    if seconds < 90 * 60:
        return f"{int(seconds // 60)} min"
    if seconds < 36 * 3600:
        return f"{int(seconds // 3600)} h"
    return f"{int(seconds // 86400)} days"


def degrees(value_c: float, digits: int = 0) -> str:
    """``6°``, with a true minus sign; minus nought is nought."""
    told = f"{abs(value_c):.{digits}f}"
    below = value_c < 0 and float(told) != 0
    return f"{MINUS if below else ''}{told}°"


def count(number: int, one: str, many: str | None = None) -> str:
    """``1 egg``, ``4 eggs``."""
    return f"{number} {one if number == 1 else many or one + 's'}"
