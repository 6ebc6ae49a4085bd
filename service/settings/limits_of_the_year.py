"""Limits that hold in a part of the year only: while birds breed, or while they rest. Pure."""

from dataclasses import replace

from service.rules.limit import During
from service.settings.settings import Settings


def with_limits_of_the_year(settings: Settings, resting: bool) -> Settings:
    """The settings without the limits that sleep now.

    Those that say nothing of it hold always: a shed is watched all year.
    """
    asleep = During.BREEDING if resting else During.RESTING
    awake = tuple(limit for limit in settings.limits if limit.during is not asleep)
    return settings if awake == settings.limits else replace(settings, limits=awake)
