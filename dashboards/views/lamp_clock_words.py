"""How far the lamps' clock is out, in a sentence or two. Pure."""

from datetime import timedelta

from dashboards.views.local_words import count, day_word
from service.climate.light_timer import LampClock

_IN_TIME = timedelta(minutes=5)
_AN_HOUR = timedelta(hours=1)
_MINUTE = timedelta(minutes=1)


def lamp_clock_words(clock: LampClock | None) -> tuple[str, ...]:
    """Nothing where no lamps were seen beside a plan."""
    if clock is None:
        return ()
    days = f"{count(clock.days, 'day')} from {day_word(clock.since)} to {day_word(clock.until)}"
    minutes = round(abs(clock.late) / _MINUTE)
    if abs(clock.late) <= _IN_TIME:
        told = f"The lamps keep their hours, within {_IN_TIME // _MINUTE} min (by {days})."
    else:
        way = "later" if clock.late > timedelta(0) else "earlier"
        told = f"The lamps come and go {minutes} min {way} than planned (by {days})."
        if abs(abs(clock.late) - _AN_HOUR) <= _IN_TIME:
            told += " That is as if their clock did not know of summer time."
    least, most = clock.later_least, clock.later_most
    if least is None or most is None or least <= 0 <= most:
        return (told,)
    way = "loses" if least > 0 else "gains"
    low, high = sorted((abs(least), abs(most)))
    return (
        told,
        f"Their clock {way} {low:.1f} to {high:.1f} min a week: set it anew, and look again.",
    )
