"""Limits that hold in a part of the year only: while birds breed, or while they rest. Pure."""

from dataclasses import replace

from service.rules.limit import During
from service.settings.settings import Settings


def with_limits_of_the_year(
    settings: Settings, resting: bool, *, with_young: bool = False
) -> Settings:
    """The settings without the limits that sleep now.

    Those that say nothing of it hold always: a shed is watched all year. ``with_young``: eggs or
    chicks are in a nest, though the birds rest; then the limits of breeding hold beside those of
    the rest.
    """
    asleep = set() if resting else {During.RESTING}
    if resting and not with_young:
        asleep = {During.BREEDING}
    awake = tuple(limit for limit in settings.limits if limit.during not in asleep)
    return settings if awake == settings.limits else replace(settings, limits=awake)
