"""Alarms as rows: those that are, each with its sign and word, then those that were."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from dashboards.marks.palette import DAY, NIGHT
from dashboards.marks.signs import Sign, sign
from dashboards.marks.svg import drawing
from dashboards.views.alarm_words import alarm_words, silent_device
from dashboards.views.local_words import moment
from service.alarms.alarm import Alarm, AlarmState
from service.rules.limit import Priority
from service.settings.settings import Settings

_WORD = {Priority.HIGH: "act now", Priority.MEDIUM: "watch", Priority.LOW: "noted"}


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmRow:
    """``kind`` is act, watch, silent, over or noted and sets the form. ``mark`` is SVG.

    ``standing`` says whether somebody has seen it. ``may_acknowledge``: nobody has, and
    nobody has asked for it yet.
    """

    id: str
    kind: str
    mark: str
    word: str
    text: str
    since: str
    until: str | None
    standing: str
    may_acknowledge: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmsView:
    """``open`` are worst first, ``past`` newest first."""

    open: tuple[AlarmRow, ...]
    past: tuple[AlarmRow, ...]


def alarms_view(
    open_alarms: Sequence[Alarm],
    past: Sequence[Alarm],
    asked: Collection[str],
    settings: Settings,
    now: datetime,
    *,
    night: bool,
) -> AlarmsView:
    """``asked`` are the ids whose acknowledgement was asked for and not yet done."""

    def row(alarm: Alarm) -> AlarmRow:
        return _row(alarm, alarm.id in asked, settings, now, night=night)

    order = {"act": 0, "silent": 1, "watch": 2, "noted": 3, "over": 4}
    rows = sorted((row(alarm) for alarm in open_alarms), key=lambda one: order[one.kind])
    over = tuple(row(alarm) for alarm in past if alarm.state is AlarmState.NORMAL)
    return AlarmsView(open=tuple(rows), past=over)


def _row(alarm: Alarm, asked: bool, settings: Settings, now: datetime, *, night: bool) -> AlarmRow:
    zone = settings.site.timezone
    kind = _kind(alarm)
    unseen = alarm.state in (AlarmState.UNACKNOWLEDGED, AlarmState.RETURNED_UNACKNOWLEDGED)
    return AlarmRow(
        id=alarm.id,
        kind=kind,
        mark=_mark(alarm, kind, settings, night=night),
        word="silent" if kind == "silent" else "over" if kind == "over" else _WORD[alarm.priority],
        text=alarm.text,
        since=moment(alarm.raised_at, now, zone),
        until=moment(alarm.cleared_at, now, zone) if alarm.cleared_at else None,
        standing=_standing(alarm, asked, settings, now),
        may_acknowledge=unseen and not asked,
    )


def _kind(alarm: Alarm) -> str:
    if not alarm.state.active:
        return "over"
    if silent_device(alarm) is not None:
        return "silent"
    kinds = {Priority.HIGH: "act", Priority.MEDIUM: "watch", Priority.LOW: "noted"}
    return kinds[alarm.priority]


def _standing(alarm: Alarm, asked: bool, settings: Settings, now: datetime) -> str:
    if alarm.acknowledged_at is not None:
        by = f" by {alarm.acknowledged_by}" if alarm.acknowledged_by else ""
        return f"seen {moment(alarm.acknowledged_at, now, settings.site.timezone)}{by}"
    if asked:
        return "asked: waits for the watch to note that it was seen"
    if alarm.state is AlarmState.NORMAL:
        return ""
    return "nobody has seen it yet"


def _mark(alarm: Alarm, kind: str, settings: Settings, *, night: bool) -> str:
    palette = NIGHT if night else DAY
    words = alarm_words(alarm, settings.limits)
    signs = {
        "act": (Sign.ACT_UP if words.upward else Sign.ACT, palette.bar_ink),
        "watch": (Sign.WATCH_UP if words.upward else Sign.WATCH, palette.watch),
        "silent": (Sign.NOT_LIVE, palette.not_live),
    }
    if kind not in signs:
        return ""
    which, colour = signs[kind]
    return drawing(sign(which, 2, 2, 44, colour), 48, 48, label=which.value)
