"""Alarms as rows: those that need somebody, those of which nobody is told, those that were.

What is told comes worst first, with what to do before why. Pure.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from urllib.parse import quote

from dashboards.marks.palette import DAY, NIGHT
from dashboards.marks.signs import Sign, sign
from dashboards.marks.svg import drawing
from dashboards.views.alarm_words import alarm_words, limit_of, value_in_words
from dashboards.views.local_words import age, moment
from dashboards.views.rule_names import rule_name
from dashboards.views.shelf_form import ShelfForm, shelf_form
from service.alarms.alarm import Alarm, AlarmState
from service.alarms.rule_words import is_silence
from service.alarms.suppression import Suppression, SuppressionKind, in_words
from service.answers.latest import is_fresh
from service.quality.flag import Flag
from service.rules.limit import Priority
from service.rules.rationales import kind_of, rationale_of
from service.rules.settables import BY_KIND
from service.settings.settings import Settings
from service.store.alarm_store import Request, RequestKind
from service.store.reading_store import Latest

MOST_PAST = 50
"""More are told by the journal."""

_WORD = {Priority.HIGH: "act now", Priority.MEDIUM: "watch", Priority.LOW: "noted"}
_ORDER = {"act": 0, "silent": 1, "watch": 2, "noted": 3, "over": 4}
_UNSEEN = (
    AlarmState.UNACKNOWLEDGED,
    AlarmState.RETURNED_UNACKNOWLEDGED,
    AlarmState.LATCHED_UNACKNOWLEDGED,
)
_OF_ALARMS = (RequestKind.ACKNOWLEDGE, RequestKind.RESET)
_OF_RULES = (
    RequestKind.SHELVE,
    RequestKind.UNSHELVE,
    RequestKind.OUT_OF_SERVICE,
    RequestKind.INTO_SERVICE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmWhy:
    """What the rule's rationale tells. ``within`` is how long the response may wait at most."""

    response: str
    within: str
    cause: str
    consequence: str
    why_setpoint: str
    source: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmRow:
    """``kind`` is act, watch, silent, over or noted and sets the form. ``mark`` is SVG.

    ``now`` is what is measured now, with its age; empty where the rule measures nothing.
    ``standing`` says whether somebody has seen it. ``may_acknowledge``: nobody has, and
    nobody has asked for it yet. ``why`` is None where the rule is known no more. ``shelf`` is
    None where there is nothing to shelve. ``settings_at`` is where the rule is changed.
    """

    id: str
    kind: str
    mark: str
    word: str
    text: str
    now: str
    told: str
    until: str | None
    standing: str
    may_acknowledge: bool
    may_reset: bool
    is_seen: bool
    why: AlarmWhy | None
    shelf: ShelfForm | None
    settings_at: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelvedRow:
    """A rule of which a person wants to hear nothing. ``now`` says how it is all the same."""

    rule: str
    kind: str
    name: str
    told: str
    until: str
    now: str
    is_wrong: bool
    is_asked: bool
    back: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HiddenRow:
    """An alarm that is not told since something else is."""

    text: str
    since: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PastRow:
    """``when`` is from and to; ``standing`` who saw it, or why nobody was told."""

    when: str
    text: str
    standing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmsView:
    """``told`` are worst first, ``shelved`` with what is wrong first, ``past`` newest first;
    ``past_more`` counts what is left out of it.
    """

    told: tuple[AlarmRow, ...]
    shelved: tuple[ShelvedRow, ...]
    hidden: tuple[HiddenRow, ...]
    past: tuple[PastRow, ...]
    past_more: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmsKept:
    """What the stores hold: ``open`` and ``past`` alarms, what persons suppressed, the
    requests that watch has not carried out yet, and the newest reading of each series.
    """

    open: Sequence[Alarm]
    past: Sequence[Alarm]
    newest: Sequence[Latest] = ()
    suppressions: Sequence[Suppression] = ()
    pending: Sequence[Request] = ()


def alarms_view(kept: AlarmsKept, settings: Settings, now: datetime, *, night: bool) -> AlarmsView:
    """All of them in words."""
    teller = _Teller(kept, settings, now, night=night)
    by_rule = {one.rule: one for one in kept.open}
    told = [teller.row(one) for one in kept.open if one.told]
    shelved = [teller.shelved(wish, by_rule.get(wish.rule)) for wish in kept.suppressions]
    by_design = [one for one in kept.open if one.suppressed is SuppressionKind.BY_DESIGN]
    over = [one for one in kept.past if one.state is AlarmState.NORMAL]
    return AlarmsView(
        told=tuple(sorted(told, key=lambda one: _ORDER[one.kind])),
        shelved=tuple(sorted(shelved, key=lambda one: not one.is_wrong)),
        hidden=tuple(teller.hidden(one) for one in by_design),
        past=tuple(teller.past(one) for one in over[:MOST_PAST]),
        past_more=max(0, len(over) - MOST_PAST),
    )


def alarm_why(rule: str, settings: Settings) -> AlarmWhy | None:
    """What is known of why a rule is there."""
    found = rationale_of(rule, settings.limits)
    if found is None:
        return None
    return AlarmWhy(
        response=found.response,
        within=in_words(found.respond_within),
        cause=found.cause,
        consequence=found.consequence,
        why_setpoint=found.why_setpoint,
        source=found.source,
        cautions=found.cautions,
    )


class _Teller:
    def __init__(self, kept: AlarmsKept, settings: Settings, now: datetime, *, night: bool) -> None:
        self._asked = {one.subject for one in kept.pending if one.kind in _OF_ALARMS}
        self._asked_rules = {one.subject for one in kept.pending if one.kind in _OF_RULES}
        self._newest = kept.newest
        self._settings = settings
        self._now = now
        self._night = night

    def row(self, alarm: Alarm) -> AlarmRow:
        kind, asked = _kind(alarm), alarm.id in self._asked
        may_shelve = alarm.state.active and alarm.rule not in self._asked_rules
        return AlarmRow(
            id=alarm.id,
            kind=kind,
            mark=self._mark(alarm, kind),
            word=kind if kind in ("silent", "over") else _WORD[alarm.priority],
            text=alarm.text,
            now=self._measured_now(alarm) if alarm.state.active else "",
            told=self._moment(alarm.told_at or alarm.raised_at),
            until=self._moment(alarm.cleared_at) if alarm.cleared_at else None,
            standing=self._standing(alarm, asked=asked),
            may_acknowledge=alarm.state in _UNSEEN and not asked,
            may_reset=alarm.state.latched and not asked,
            is_seen=alarm.state not in _UNSEEN,
            why=alarm_why(alarm.rule, self._settings),
            shelf=shelf_form(alarm.rule, alarm.priority) if may_shelve else None,
            settings_at=_settings_at(alarm.rule),
        )

    def shelved(self, wish: Suppression, alarm: Alarm | None) -> ShelvedRow:
        is_wrong = alarm is not None and alarm.state.active
        by = f" by {wish.by}" if wish.by else ""
        shelved = wish.kind is SuppressionKind.SHELVED
        return ShelvedRow(
            rule=wish.rule,
            kind=wish.kind.value,
            name=rule_name(wish.rule, self._settings),
            told=f"{wish.kind.value.capitalize()} {self._moment(wish.since)}{by}: {wish.reason}",
            until=self._shelf_end(wish),
            now=self._shelved_now(alarm),
            is_wrong=is_wrong,
            is_asked=wish.rule in self._asked_rules,
            back="Tell me again" if shelved else "Put it back into service",
        )

    def _shelved_now(self, alarm: Alarm | None) -> str:
        if alarm is None or not alarm.state.active:
            return "It says nothing now."
        return f"It is so now: {alarm.text} {self._measured_now(alarm)}".rstrip()

    def hidden(self, alarm: Alarm) -> HiddenRow:
        return HiddenRow(
            text=alarm.text,
            since=self._moment(alarm.raised_at),
            why=alarm.suppressed_why or "It is told by its cause.",
        )

    def past(self, alarm: Alarm) -> PastRow:
        since = self._moment(alarm.raised_at)
        until = f" to {self._moment(alarm.cleared_at)}" if alarm.cleared_at else ""
        if alarm.suppressed is not None and alarm.told_at is None:
            standing = f"not told: {alarm.suppressed.value}"
        elif alarm.acknowledged_at is not None:
            standing = self._standing(alarm, asked=False)
        else:
            standing = "nobody has seen it"
        return PastRow(when=f"{since}{until}", text=alarm.text, standing=standing)

    def _measured_now(self, alarm: Alarm) -> str:
        """``Now 3.9°, 40 s ago.``: the newest reading there that may be believed."""
        limit = limit_of(alarm, self._settings.limits)
        if limit is None:
            return ""
        patience = {one.device: one.overdue_after for one in self._settings.sensors}
        here = [
            one
            for one in self._newest
            if (one.series.place, one.series.quantity) == (limit.place, limit.quantity)
            and one.series.device in patience
            and one.flag in (Flag.PASS, Flag.SUSPECT)
        ]
        if not here:
            return "Nothing there is measured now."
        newest = max(here, key=lambda one: one.measured_at)
        told = value_in_words(newest.value, limit.quantity)
        seconds = max(0.0, (self._now - newest.measured_at).total_seconds())
        doubt = ", doubtful" if newest.flag is Flag.SUSPECT else ""
        fresh = is_fresh(newest.measured_at, patience[newest.series.device], self._now)
        return f"{'Now' if fresh else 'Last heard'} {told}{doubt}, {age(seconds)} ago."

    def _shelf_end(self, wish: Suppression) -> str:
        if wish.until is None:
            return "Until somebody puts it back."
        end = self._moment(wish.until)
        return f"Until it is over, {end} at the latest." if wish.one_shot else f"Until {end}."

    def _standing(self, alarm: Alarm, *, asked: bool) -> str:
        if alarm.acknowledged_at is not None:
            by = f" by {alarm.acknowledged_by}" if alarm.acknowledged_by else ""
            return f"seen {self._moment(alarm.acknowledged_at)}{by}"
        if asked:
            return "asked: waits for the watch to note that it was seen"
        return "" if alarm.state is AlarmState.NORMAL else "nobody has seen it yet"

    def _moment(self, at: datetime) -> str:
        return moment(at, self._now, self._settings.site.timezone)

    def _mark(self, alarm: Alarm, kind: str) -> str:
        palette = NIGHT if self._night else DAY
        words = alarm_words(alarm, self._settings.limits)
        signs = {
            "act": (Sign.ACT_UP if words.upward else Sign.ACT, palette.bar_ink),
            "watch": (Sign.WATCH_UP if words.upward else Sign.WATCH, palette.watch),
            "silent": (Sign.NOT_LIVE, palette.not_live),
        }
        if kind not in signs:
            return ""
        which, colour = signs[kind]
        return drawing(sign(which, 2, 2, 44, colour), 48, 48, label=which.value)


def _kind(alarm: Alarm) -> str:
    if not alarm.state.active:
        return "over"
    if is_silence(alarm.rule):
        return "silent"
    kinds = {Priority.HIGH: "act", Priority.MEDIUM: "watch", Priority.LOW: "noted"}
    return kinds[alarm.priority]


def _settings_at(rule: str) -> str:
    kind = kind_of(rule)
    if kind is None:
        return f"/setup/limits/{quote(rule, safe='')}"
    return f"/setup/limits#{kind}" if kind in BY_KIND else "/sensors"
