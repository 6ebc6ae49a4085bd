"""How much the alarms have asked of a person lately, by the yardsticks of the standard. Pure.

Sources: ANSI/ISA-18.2-2016 (IEC 62682), clause 16: alarms a day, floods (begun by more than 10
in ten minutes, over once fewer than 5 come in ten), stale (active for more than 24 h), the most
frequent ones, suppression without leave, over at least 30 days. That three cycles within a
minute are chattering is practice, not the standard. All of them as told by secondary texts, and
meant for staffed rooms: upper bounds for one keeper. At most one alarm a day, and none at night
but for danger, is this house's own yardstick (common practice, no source).

What counts is what a person was told (``Alarm.told_at``): suppressed alarms ask nothing.
"""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta, tzinfo

from service.alarms.alarm import Alarm, AlarmState
from service.alarms.journal import Happened, JournalLine
from service.rules.limit import Priority

FLOOD_WITHIN = timedelta(minutes=10)
FLOOD_BEGINS_ABOVE = 10
FLOOD_ENDS_BELOW = 5
CHATTERS_WITHIN = timedelta(minutes=1)
CHATTER_CYCLES = 3
STALE_AFTER = timedelta(hours=24)
HOUSE_A_DAY = 1.0
"""At most so many alarms a day on average; common practice, no source."""

_NIGHT_FROM, _NIGHT_TO = time(22), time(7)
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Flood:
    """From its first alarm to the last one before it was over; ``alarms`` came in it."""

    since: datetime
    until: datetime
    alarms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Yardsticks:
    """Of the last ``days``, or fewer where the first alarm ever told is younger: ``days`` is
    then at least one, and says so.

    ``told`` counts alarms, ``at_night`` those told between 22 and 7 o'clock in the shed,
    ``busiest`` the most on one local day. ``flooded`` is the share of the time in ``floods``.
    ``most`` are the most frequent rules with their number, most first, ``chattering`` those
    that came and went three times within a minute with how often they did, ``stale`` alarms
    active for more than a day, now or then. ``by_priority`` counts what was told.
    ``hidden`` counts alarms that nobody was told of, since a cause was told in their place or
    a person had them suppressed; ``shelved`` and ``out_of_service`` count what persons did,
    ``without_reason`` those of them without a reason: there should be none.
    """

    days: float
    told: int
    at_night: int
    busiest: int
    floods: tuple[Flood, ...]
    flooded: float
    chattering: tuple[tuple[str, int], ...]
    stale: tuple[Alarm, ...]
    most: tuple[tuple[str, int], ...]
    by_priority: Mapping[Priority, int]
    hidden: int
    shelved: int
    out_of_service: int
    without_reason: int

    @property
    def a_day(self) -> float:
        """Alarms a day on average."""
        return self.told / self.days


def yardsticks(
    alarms: Sequence[Alarm],
    lines: Sequence[JournalLine],
    now: datetime,
    *,
    zone: tzinfo,
    days: int = 30,
) -> Yardsticks:
    """Reckon them over the ``days`` before ``now``.

    ``alarms`` and ``lines`` may reach back further, in any order; without an alarm all is zero.
    An alarm raised before the span and active in it counts as stale, and not as told.
    """
    since = now - days * _DAY
    first = min((one.raised_at for one in alarms), default=since)
    over_days = max(1.0, (now - max(since, first)) / _DAY) if alarms else float(days)
    told = _told(alarms, since, now)
    times = [at for at, _ in told]
    local = [at.astimezone(zone) for at in times]
    floods = find_floods(times)
    recent = [line for line in lines if since <= line.at <= now]
    wishes = [one for one in recent if one.happened in (Happened.SHELVED, Happened.OUT_OF_SERVICE)]
    return Yardsticks(
        days=over_days,
        told=len(told),
        at_night=sum(at.time() >= _NIGHT_FROM or at.time() < _NIGHT_TO for at in local),
        busiest=max(Counter(at.date() for at in local).values(), default=0),
        floods=floods,
        flooded=sum((one.until - one.since) / _DAY for one in floods) / over_days,
        chattering=_chattering(told),
        stale=tuple(one for one in alarms if _is_stale(one, since, now)),
        most=tuple(Counter(alarm.rule for _, alarm in told).most_common()),
        by_priority=Counter(alarm.priority for _, alarm in told),
        hidden=sum(since <= one.raised_at <= now and one.told_at is None for one in alarms),
        shelved=sum(one.happened is Happened.SHELVED for one in wishes),
        out_of_service=sum(one.happened is Happened.OUT_OF_SERVICE for one in wishes),
        without_reason=sum(not one.note.strip() for one in wishes),
    )


def find_floods(times: Sequence[datetime]) -> tuple[Flood, ...]:
    """Floods among alarms told at ``times``, oldest first.

    Windows of ten minutes end at each alarm; one that comes ten minutes after another is no
    more in its window. Exactly ten is no flood.
    """
    floods: list[Flood] = []
    window: list[datetime] = []
    began: int | None = None
    for place, at in enumerate(times):
        window = [one for one in window if at - one < FLOOD_WITHIN] + [at]
        if began is not None and len(window) < FLOOD_ENDS_BELOW:
            floods.append(Flood(times[began], times[place - 1], place - began))
            began = None
        elif began is None and len(window) > FLOOD_BEGINS_ABOVE:
            began = place - len(window) + 1
    if began is not None:
        floods.append(Flood(times[began], times[-1], len(times) - began))
    return tuple(floods)


def _told(alarms: Sequence[Alarm], since: datetime, now: datetime) -> list[tuple[datetime, Alarm]]:
    found = [
        (one.told_at, one)
        for one in alarms
        if one.told_at is not None and since <= one.told_at <= now
    ]
    return sorted(found, key=lambda pair: pair[0])


def _chattering(told: Sequence[tuple[datetime, Alarm]]) -> tuple[tuple[str, int], ...]:
    """How often three cycles of a rule lay within a minute, from the first raised to the last
    cleared; each cycle is counted in one of them.
    """
    cycles: dict[str, list[Alarm]] = defaultdict(list)
    found: Counter[str] = Counter()
    for _, alarm in told:
        if alarm.cleared_at is None:
            continue
        run = cycles[alarm.rule]
        run.append(alarm)
        del run[:-CHATTER_CYCLES]
        whole = len(run) == CHATTER_CYCLES
        if whole and alarm.cleared_at - run[0].raised_at <= CHATTERS_WITHIN:
            found[alarm.rule] += 1
            run.clear()
    return tuple(found.most_common())


def _is_stale(alarm: Alarm, since: datetime, now: datetime) -> bool:
    """Told, and active for more than a day of which some lies in the span."""
    if alarm.told_at is None:
        return False
    if alarm.cleared_at is None and alarm.state is AlarmState.NORMAL:
        return False
    until = alarm.cleared_at or now
    return until >= since and min(until, now) - alarm.raised_at > STALE_AFTER
