"""The journal of alarms: what happened, when, and who did it, day by day. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from dashboards.views.local_words import clock_time, day_word, local_day, weekday
from dashboards.views.rule_names import rule_name
from service.alarms.alarm import Alarm
from service.alarms.journal import Happened, JournalLine
from service.settings.settings import Settings

_WORDS: Mapping[Happened, str] = {
    Happened.RAISED: "Came",
    Happened.TOLD_LATE: "Told late, it came and went while nobody listened",
    Happened.CLEARED: "Over",
    Happened.ACKNOWLEDGED: "Seen",
    Happened.RE_ALARMED: "To be seen again",
    Happened.RESET: "Reset",
    Happened.SHELVED: "Shelved",
    Happened.UNSHELVED: "Off the shelf",
    Happened.OUT_OF_SERVICE: "Out of service",
    Happened.INTO_SERVICE: "Back in service",
    Happened.SUPPRESSED: "Hidden",
    Happened.UNSUPPRESSED: "Hidden no more",
}
MOST_LINES = 500
"""Of one page."""

_IN_FULL = (Happened.RAISED, Happened.TOLD_LATE)


@dataclass(frozen=True, slots=True, kw_only=True)
class JournalRow:
    """One line."""

    time: str
    happened: str
    what: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JournalDay:
    """A local day, its newest line first."""

    name: str
    rows: tuple[JournalRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class JournalView:
    """Newest day first; ``more`` counts lines left out of a week with too many. ``older`` and
    ``newer`` are the last days of the pages beside it.
    """

    span: str
    days: tuple[JournalDay, ...]
    more: int
    older: str
    newer: str | None


def journal_view(
    lines: Sequence[JournalLine],
    alarms: Mapping[str, Alarm],
    settings: Settings,
    first: date,
    last: date,
    *,
    older: date,
    newer: date | None,
) -> JournalView:
    """``lines`` newest first; ``alarms`` by id, for the words of those that were raised."""
    zone = settings.site.timezone
    days = groupby(lines[:MOST_LINES], key=lambda line: local_day(line.at, zone))
    return JournalView(
        span=f"{day_word(first)} to {day_word(last)} {last.year}",
        days=tuple(
            JournalDay(
                name=f"{weekday(day)}, {day_word(day)}",
                rows=tuple(_row(line, alarms, settings) for line in found),
            )
            for day, found in days
        ),
        more=max(0, len(lines) - MOST_LINES),
        older=older.isoformat(),
        newer=newer.isoformat() if newer else None,
    )


def _row(line: JournalLine, alarms: Mapping[str, Alarm], settings: Settings) -> JournalRow:
    alarm = alarms.get(line.alarm_id or "")
    what = rule_name(line.rule, settings)
    if alarm is not None and line.happened in _IN_FULL:
        what = alarm.text
    return JournalRow(
        time=clock_time(line.at, settings.site.timezone),
        happened=f"{_WORDS[line.happened]}{f' by {line.by}' if line.by else ''}",
        what=what,
        note=line.note,
    )
