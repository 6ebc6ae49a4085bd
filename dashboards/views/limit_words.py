"""A limit and what it would have said, in sentences. Pure."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.views.alarm_words import value_in_words
from dashboards.views.local_words import clock_time, count, day_word
from devices.reading import Quantity
from service.answers.limit_what_if import WouldHave
from service.rules.limit import During, Limit, Priority, When
from service.rules.what_if import Spell

PRIORITY_WORDS = {
    Priority.HIGH: "act now",
    Priority.MEDIUM: "watch",
    Priority.LOW: "told on the phone only",
}
WHEN_WORDS = {When.ALWAYS: "by day and night", When.DAY: "by day", When.NIGHT: "by night"}
DURING_WORDS = {
    During.ALWAYS: "all year",
    During.BREEDING: "while birds breed",
    During.RESTING: "while birds rest",
}

STAYS_WORDS = {"no": "its alarm goes by itself", "yes": "its alarm stays until you reset it"}
"""What becomes of the alarm once it is over: whether the limit latches."""

NAGS_FROM = 30
"""More than one alarm a day on average is overlooked in time: a choice of the house, no source."""

THIN = 0.5
"""Where less of the month was measured than this share, the number of times says little."""

_SLEEP = (22, 7)
_MOST_LISTED = 5


def for_words(span: timedelta) -> str:
    """``10 min``, ``2 h``, ``1 h 30 min``, ``3 days``, ``45 s``: nothing is rounded away."""
    seconds = span.total_seconds()
    days, rest = divmod(seconds, 86400)
    hours, rest = divmod(rest, 3600)
    minutes, rest = divmod(rest, 60)
    parts = (
        count(int(days), "day") if days else "",
        f"{hours:.0f} h" if hours else "",
        f"{minutes:.0f} min" if minutes else "",
        f"{rest:g} s" if rest or not seconds else "",
    )
    return " ".join(part for part in parts if part)


def exact_value(value: float, quantity: Quantity) -> str:
    """A setpoint as it was set: ``5°``, ``5.25°``, ``80%``, ``400 ppm``."""
    told = f"{abs(value):g}"
    sign = "\N{MINUS SIGN}" if value < 0 and float(told) else ""
    match quantity:
        case Quantity.TEMPERATURE:
            return f"{sign}{told}°"
        case Quantity.RELATIVE_HUMIDITY | Quantity.BATTERY:
            return f"{sign}{told}%"
        case Quantity.MAINS:
            return f"{sign}{told}"
        case _:
            return f"{sign}{told} {quantity.unit}"


def rule_in_words(limit: Limit) -> str:
    """``under 5° for 10 min``, ``over 30° at once``."""
    side = "under" if limit.low is not None else "over"
    lasts = f"for {for_words(limit.on_delay)}" if limit.on_delay else "at once"
    return f"{side} {exact_value(limit.setpoint, limit.quantity)} {lasts}"


def holds_in_words(limit: Limit) -> str:
    """``by day and night, all year``."""
    return f"{WHEN_WORDS[limit.when]}, {DURING_WORDS[limit.during]}"


def limit_sentence(limit: Limit) -> str:
    """All of a limit in one or two sentences."""
    inwards = limit.deadband if limit.low is not None else -limit.deadband
    back = exact_value(round(limit.setpoint + inwards, 6), limit.quantity)
    side = "at or above" if limit.low is not None else "at or below"
    lasts = f" for {for_words(limit.off_delay)}" if limit.off_delay else ""
    stays = "; its alarm stays until you reset it" if limit.latching else ""
    return (
        f"It speaks when it is {rule_in_words(limit)}, {holds_in_words(limit)}. "
        f"It is over once it has been {side} {back}{lasts}{stays}."
    )


def times_in_words(would: WouldHave, limit: Limit, zone: ZoneInfo) -> tuple[str, ...]:
    """What it would have said in the month, in sentences; the first is how often."""
    if not would.heard:
        return ("Nothing was measured there in the last 30 days, so nobody can say how often.",)
    told = [_how_often(would, zone), *_judgement(would)]
    told += [_covered(would), _furthest(would, limit)]
    return tuple(one for one in told if one)


def spells_in_words(would: WouldHave, limit: Limit, zone: ZoneInfo) -> tuple[str, ...]:
    """The newest of its times, one line each."""
    newest = would.spells[-_MOST_LISTED:][::-1]
    return tuple(_spell(one, limit, would.until, zone) for one in newest)


def _how_often(would: WouldHave, zone: ZoneInfo) -> str:
    number = len(would.spells)
    if number == 0:
        return "In the last 30 days it would not have spoken."
    asleep = sum(_is_asleep(one.since, zone) for one in would.spells)
    of_them = "all of them" if asleep == number else f"{asleep} of them" if asleep else "none"
    if number == 1:
        of_them = "" if asleep else "not"
    goes_on = "; it would speak now" if would.spells[-1].until is None else ""
    times = "once" if number == 1 else f"{number} times"
    when = " ".join(one for one in (of_them, "between 22 and 7") if one)
    return f"In the last 30 days it would have spoken {times}, {when}{goes_on}."


def _judgement(would: WouldHave) -> tuple[str, ...]:
    if len(would.spells) > NAGS_FROM:
        return ("That is more than once a day: one that speaks so often is soon overlooked.",)
    return ()


def _covered(would: WouldHave) -> str:
    share = would.heard / (would.until - would.since)
    if share >= 0.995:
        return ""
    told = f"Readings cover {max(1, int(100 * share))} % of that time"
    if share < THIN:
        return f"{told}: too little to tell how often it speaks in a month."
    return f"{told}; what was in the rest nobody knows."


def _furthest(would: WouldHave, limit: Limit) -> str:
    """How far the air went that way at all: what a setpoint is best chosen by."""
    furthest = would.lowest if limit.low is not None else would.highest
    if furthest is None:
        return ""
    word = "lowest" if limit.low is not None else "highest"
    return f"The {word} of that time was {value_in_words(furthest, limit.quantity)}."


def _spell(spell: Spell, limit: Limit, now: datetime, zone: ZoneInfo) -> str:
    day = day_word(spell.since.astimezone(zone).date())
    lasted = (spell.until or now) - spell.since
    whole = timedelta(minutes=int(lasted.total_seconds() // 60))
    length = for_words(whole) if whole else "less than a minute"
    goes_on = "" if spell.until else " so far"
    word = "down to" if limit.low is not None else "up to"
    worst = value_in_words(spell.worst, limit.quantity)
    return f"{day}, {clock_time(spell.since, zone)}: {length}{goes_on}, {word} {worst}"


def _is_asleep(at: datetime, zone: ZoneInfo) -> bool:
    hour = at.astimezone(zone).hour
    return hour >= _SLEEP[0] or hour < _SLEEP[1]
