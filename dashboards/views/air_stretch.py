"""A week, a season or a year of air in words. Pure."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from dashboards.views.air_days import DayWidth
from dashboards.views.air_nights import hours_words, share_words
from dashboards.views.banks import AirLimits, AirMoment
from dashboards.views.channel_view import ChannelView
from dashboards.views.local_words import count, day_word, degrees

_STEP = timedelta(minutes=15)
"""The moments of a week's thread are means of a quarter of an hour."""

_WHOLE = 0.97
_HOUR = timedelta(hours=1)


def week_words(view: ChannelView | None) -> tuple[str, ...]:
    """Between what the air was, how much was measured, and how long it was in a bank."""
    moments = [moment for strand in view.strands for moment in strand] if view else []
    if not moments or view is None:
        return ("Nothing was measured in these seven days.",)
    low = min(one.temperature_c for one in moments)
    high = max(one.temperature_c for one in moments)
    told = f"Between {degrees(low)} and {degrees(high)}, by quarters of an hour."
    share = len(moments) * _STEP / (view.now - view.since)
    part = (f"Only {share_words(share)} of that time was measured.",) if share < _WHOLE else ()
    return (told, *part, *_in_banks(moments))


def _in_banks(moments: Sequence[AirMoment]) -> Iterator[str]:
    past = [one.side for one in moments if one.spare_c is not None and one.spare_c < 0]
    for side in ("cold", "damp", "hot", "dry"):
        hours = past.count(side) * _STEP / _HOUR
        if hours:
            yield f"Too {side} for {hours_words(hours)}."
    if not past and any(one.spare_c is not None for one in moments):
        yield "Never in a bank while it was measured."


def days_words(
    days: Sequence[DayWidth], first: date, last: date, limits: AirLimits
) -> tuple[str, ...]:
    """The coldest and the warmest half-hour with their days, days in a bank, days unmeasured."""
    if not days:
        return (f"Nothing was measured from {day_word(first)} to {day_word(last)}.",)
    coldest = min(days, key=lambda one: one.low_c)
    warmest = max(days, key=lambda one: one.high_c)
    return (
        f"The coldest half-hour had {degrees(coldest.low_c, 1)}, on {_day(coldest.day)}; "
        f"the warmest {degrees(warmest.high_c, 1)}, on {_day(warmest.day)}.",
        *_past(days, limits),
        *_missing(days, first, last),
    )


def _past(days: Sequence[DayWidth], limits: AirLimits) -> Iterator[str]:
    """By the bare limits: on which of them a rule acts, and when, is told under Alarms."""
    told = []
    if limits.cold_c is not None:
        number = sum(one.low_c < limits.cold_c for one in days)
        told.append((number, f"below {degrees(limits.cold_c)}"))
    if limits.hot_c is not None:
        number = sum(one.high_c > limits.hot_c for one in days)
        told.append((number, f"above {degrees(limits.hot_c)}"))
    if limits.damp_pct is not None:
        number = sum((one.damp_high_pct or 0.0) > limits.damp_pct for one in days)
        told.append((number, f"over {limits.damp_pct:.0f} % damp"))
    found = [f"{what} on {count(number, 'day')}" for number, what in told if number]
    if found:
        yield f"For half an hour or longer it was {', '.join(found)}."
    elif told:
        yield "Within its limits while it was measured, by half-hours."


def _missing(days: Sequence[DayWidth], first: date, last: date) -> Iterator[str]:
    began = days[0].day
    missing = (last - began).days + 1 - len(days)
    partly = sum(not one.whole for one in days)
    if began > first:
        yield f"The first day measured is {_day(began)}; what was before is bare."
    if missing:
        yield f"{count(missing, 'day')} since then went unmeasured and {_stay(missing)} bare."
    if partly:
        yield f"{count(partly, 'day')} {_was(partly)} measured in part: it may have been worse."


def _stay(number: int) -> str:
    return "stays" if number == 1 else "stay"


def _was(number: int) -> str:
    return "was" if number == 1 else "were"


def _day(day: date) -> str:
    return f"{day_word(day)} {day.year}"
