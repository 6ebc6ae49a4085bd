"""What people call a rule: a limit by what it allows, another by its kind and its subject. Pure."""

from dashboards.views.alarm_words import value_in_words
from dashboards.views.quantity_words import quantity_words
from service.alarms.rule_words import rule_words
from service.rules.limit import During, Limit, When
from service.rules.settables import BY_KIND
from service.settings.settings import Settings

_WHEN = {When.DAY: " by day", When.NIGHT: " by night"}
_DURING = {During.BREEDING: " while birds breed", During.RESTING: " while birds rest"}


def rule_name(rule: str, settings: Settings) -> str:
    """``Shed: temperature under 5°``, ``A sensor is silent: th-2``.

    The id itself for a limit that is set no more, or a kind that is not known.
    """
    limit = next((one for one in settings.limits if one.id == rule), None)
    if limit is not None:
        return limit_name(limit, settings)
    kind, _, subject = rule.partition(":")
    name = kind_name(kind)
    if name is None:
        return rule
    names = {place.id: place.name for place in settings.places}
    return f"{name}: {names.get(subject, subject)}"


def kind_name(kind: str) -> str | None:
    """What a kind of rule is called; None for one that is not known."""
    if kind in BY_KIND:
        return BY_KIND[kind].name
    words = rule_words(f"{kind}:")
    return None if words is None else words.name


def limit_name(limit: Limit, settings: Settings) -> str:
    """``Shed: temperature under 5° by night``."""
    names = {place.id: place.name for place in settings.places}
    return f"{names.get(limit.place, limit.place)}: {limit_in_words(limit)}"


def limit_in_words(limit: Limit) -> str:
    """``temperature under 5° by night``."""
    side = "under" if limit.low is not None else "over"
    setpoint = value_in_words(limit.setpoint, limit.quantity).replace(".0°", "°")
    when = _WHEN.get(limit.when, "") + _DURING.get(limit.during, "")
    return f"{quantity_words(limit.quantity)} {side} {setpoint}{when}"
