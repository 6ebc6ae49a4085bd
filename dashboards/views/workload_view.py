"""The page of the time it takes: minutes a day, the days that take longest, and what if. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import fmean

from dashboards.marks.work_days import WorkBar, WorkDays, work_days
from dashboards.views.local_words import count, day_short, day_word, weekday
from service.answers.work_ahead import WorkAhead
from service.answers.workload import rests_on
from service.nests.workload.forecast import DayAhead, peaks
from service.nests.workload.ground import runs
from service.nests.workload.timed_visit import LONGEST

MOST_PARTS = 6
_DAYS_SHOWN_BACK = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkDayLine:
    """One day in words: when, how long with its span, and of what it is made."""

    day: str
    minutes: str
    span: str
    parts: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekLine:
    """One week: minutes a day on the average, its longest day, and the same as supposed."""

    week: str
    a_day: str
    longest: str
    supposed: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkloadView:
    """``own`` is what the timed visits say; ``rests`` what all of it rests on, a sentence each.

    ``supposed`` is what is asked and what comes of it; empty where nothing is supposed.
    """

    title: str
    lead: str
    own: str
    supposed: tuple[str, ...]
    peaks: tuple[WorkDayLine, ...]
    soon: tuple[WorkDayLine, ...]
    weeks: tuple[WeekLine, ...]
    rests: tuple[str, ...]
    picture: str
    downwards: str
    runs: int
    duties: bool


def workload_view(now: WorkAhead, supposed: WorkAhead | None = None) -> WorkloadView:
    """``supposed`` is the same with what is asked; None where nothing is."""
    today = now.days[0].day
    recent = [one for one in now.taken if one[0] >= today - timedelta(days=_DAYS_SHOWN_BACK)]
    bars = WorkDays(
        taken=recent, ahead=_bars(now), supposed=_bars(supposed) if supposed is not None else ()
    )
    lead = _lead(now)
    return WorkloadView(
        title="The time it takes",
        lead=lead,
        own=_own(now),
        supposed=tuple(_supposed(now, supposed)) if supposed is not None else (),
        peaks=tuple(day_line(one, today) for one in peaks(now.days) if one.minutes.mean),
        soon=tuple(day_line(one, today) for one in now.days[:7]),
        weeks=tuple(_weeks(now, supposed)),
        rests=tuple(_rests(now, supposed or now)),
        picture=work_days(bars, lead),
        downwards=work_days(bars, lead, upright=True),
        runs=runs(now.ground),
        duties=now.duties,
    )


def minutes_word(minutes: float) -> str:
    """``34 min``, ``1 h 42 min``, ``2 h``; whole minutes, and never none for some."""
    whole = round(minutes)
    if whole == 0:
        return "under 1 min" if minutes > 0 else "nothing"
    hours, rest = divmod(whole, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def day_line(one: DayAhead, today: date) -> WorkDayLine:
    """One day in words."""
    parts = [f"{name} {minutes_word(minutes)}" for name, minutes in one.parts[:MOST_PARTS]]
    rest = sum(minutes for _, minutes in one.parts[MOST_PARTS:])
    if rest:
        parts.append(f"the rest {minutes_word(rest)}")
    return WorkDayLine(
        day=_day(one.day, today),
        minutes=minutes_word(one.minutes.mean),
        span=_span(one),
        parts=", ".join(parts),
    )


def _day(day: date, today: date) -> str:
    if day == today:
        return "Today"
    return f"{weekday(day)} {day_word(day)}"


def _short(day: date, today: date) -> str:
    return "today" if day == today else f"{weekday(day)[:3]} {day_short(day)}"


def _span(one: DayAhead) -> str:
    """``28 to 41 min``; empty where nothing is open."""
    low, high = round(one.minutes.low), round(one.minutes.high)
    if low == high:
        return ""
    if high >= 60:
        return (
            f"{minutes_word(low)} to {minutes_word(high)}" if low else f"up to {minutes_word(high)}"
        )
    return f"{low} to {high} min"


def _with_span(one: DayAhead) -> str:
    span = _span(one)
    return minutes_word(one.minutes.mean) + (f" ({span})" if span else "")


def _lead(found: WorkAhead) -> str:
    longest = peaks(found.days, 1)[0]
    if not longest.minutes.mean:
        return "Nothing is to be done in the next eight weeks, by what is set up."
    today = found.days[0]
    told = f"About {minutes_word(_a_day(found))} a day in the next eight weeks"
    if longest.day == today.day:
        return f"{told}; most of it today: {_with_span(longest)}."
    return (
        f"{told}: today {_with_span(today)}, and most on {_day(longest.day, today.day)}: "
        f"{_with_span(longest)}."
    )


def _a_day(found: WorkAhead) -> float:
    return fmean(one.minutes.mean for one in found.days)


def _own(found: WorkAhead) -> str:
    visits = len(found.timed.took)
    if not visits:
        return (
            "No visit was timed yet. Tap Begin and End on today's list, and the minutes become "
            "your own."
        )
    if found.a_day is None:
        return (
            f"{count(visits, 'visit')} timed, and {count(len(found.taken), 'day')} whole: too few "
            "to tell how long a day takes you."
        )
    low, high = minutes_word(found.a_day.low), minutes_word(found.a_day.high)
    return (
        f"A day took you {minutes_word(found.a_day.value)}: the middle one of "
        f"{found.a_day.count} days that were timed whole. By chance the true middle may lie "
        f"anywhere from {low} to {high}."
    )


def _supposed(now: WorkAhead, then: WorkAhead) -> Iterator[str]:
    yield _what(now, then)
    before, after = _a_day(now), _a_day(then)
    apart = after - before
    if round(after) == round(before):
        yield f"About the same: {minutes_word(after)} a day."
    else:
        word = "more" if apart > 0 else "less"
        yield (
            f"About {minutes_word(after)} a day instead of {minutes_word(before)}: "
            f"{minutes_word(abs(apart))} {word}."
        )
    longest = peaks(then.days, 1)[0]
    if longest.minutes.mean:
        told = _day(longest.day, now.days[0].day)
        yield f"The longest day is then {told}: {_with_span(longest)}."


def _what(now: WorkAhead, then: WorkAhead) -> str:
    """All that is supposed, in one sentence that ends in a colon."""
    ground, asked = then.ground, then.what_if
    if ground.without:
        told = f"Without {_and(ground.without)}, and whoever lives there"
    elif ground.added:
        pairs = count(ground.added, "more pair")
        told = f"With {pairs}, so {count(runs(ground), 'cage')} to look after"
    else:
        told = f"With the same {count(runs(now.ground), 'cage')}"
    if asked.later:
        told += f", pairs without an egg {count(asked.later.days // 7, 'week')} later"
    if asked.second_round:
        told += ", every pair going on to another round"
    return f"{told}:"


def _and(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _weeks(now: WorkAhead, then: WorkAhead | None) -> Iterator[WeekLine]:
    today = now.days[0].day
    for begin in range(0, len(now.days), 7):
        week = now.days[begin : begin + 7]
        longest = peaks(week, 1)[0]
        other = then.days[begin : begin + 7] if then is not None else ()
        first, last = week[0].day, week[-1].day
        begins = f"{first.day}" if first.month == last.month else day_short(first)
        yield WeekLine(
            week=f"{begins} to {day_short(last)}",
            a_day=minutes_word(fmean(one.minutes.mean for one in week)),
            longest=f"{_short(longest.day, today)}: {_with_span(longest)}",
            supposed=minutes_word(fmean(one.minutes.mean for one in other)) if other else "",
        )


def _rests(now: WorkAhead, then: WorkAhead) -> Iterator[str]:
    told = rests_on(now)
    yield f"The minutes rest on {told}." if now.pace.known else f"The minutes are {told}."
    if now.pace.middle is not None and now.pace.known:
        middle = now.pace.middle
        yield (
            f"What typically takes 10 min took you {10 * middle.value:.0f} "
            f"({10 * middle.low:.0f} to {10 * middle.high:.0f} by chance)."
        )
        yield "The spans hold a day about eight times in ten."
    else:
        yield (
            "The spans hold only what due dates leave open; how fast you are is not in them yet. "
            "Nine timed visits are enough for that."
        )
    if now.pace.unnoted:
        yield f"{count(now.pace.unnoted, 'timed visit')} not counted: nothing was noted as done."
    if now.timed.forgotten:
        hours = LONGEST.seconds // 3600
        yield (
            f"{count(now.timed.forgotten, 'timed visit')} not counted: the end was forgotten, or "
            f"it took more than {hours} h."
        )
    warm = max(one.may_add for one in now.days)
    if warm:
        yield f"On a warm day up to {minutes_word(warm)} more; the spans have it in them."
    yield from _of_rounds(then)


def _of_rounds(then: WorkAhead) -> Iterator[str]:
    usual = then.usual
    yield (
        f"Of ten eggs {10 * usual.hatching:.0f} are taken to hatch: {usual.hatching_source}. "
        f"A pair is taken to lay {usual.first_egg_after_pairing.least:g} to "
        f"{usual.first_egg_after_pairing.most:g} days after it was put up, {usual.eggs.least} to "
        f"{usual.eggs.most} eggs: {usual.eggs.source}."
    )
    silent = then.ground.silent
    if silent:
        yield f"No egg is foreseen in {_and(silent)}: by now there should have been one."


def _bars(found: WorkAhead) -> tuple[WorkBar, ...]:
    return tuple(
        WorkBar(day=one.day, low=one.minutes.low, mean=one.minutes.mean, high=one.minutes.high)
        for one in found.days
    )
