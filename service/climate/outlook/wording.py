"""How an outlook is said: chances in words, temperatures no finer than they are known. Pure."""

import math

from service.climate.outlook.evaluate import Band
from service.climate.outlook.outlook import Why

_LEVELS = (
    (0.05, "very unlikely"),
    (0.20, "unlikely"),
    (0.50, "possible"),
    (0.80, "likely"),
    (0.95, "very likely"),
)

_WHYS = {
    Why.NO_MODEL: "not enough nights yet",
    Why.TOO_FEW_NIGHTS: "not enough nights yet",
    Why.MODEL_TOO_OLD: "nothing was learned for two weeks, so nothing is said",
    Why.NO_TEMPERATURE: "the shed's thermometer tells nothing",
    Why.HOUR_NOT_LEARNED: "too few nights told what comes from this hour on",
    Why.MODEL_AGES: "nothing was learned for more than three days",
    Why.NO_OUTDOORS: "without an outdoor thermometer",
    Why.OUTDOORS_FROZEN: "the outdoor thermometer has told the very same for three hours, "
    "so it is not used",
    Why.NO_SURFACE: "how cold the coldest surface is, is not known",
    Why.NO_HUMIDITY: "without the shed's humidity",
    Why.FALLS_FAST: "the shed is cooling faster since lamps-off than its nights before explain; "
    "is a door or a window open?",
    Why.HEATER_SHORT: "the heater did not hold its setting in the last three nights",
    Why.HEATER_UNTOLD: "the coldest nights have all stopped at about the same low: if there is a "
    "heater, tell its setting",
    Why.CHANGED: "the shed behaves differently than it did",
}

CANNOT_SEE = "It cannot see weather that has not arrived."


def chance_in_words(chance: float) -> str:
    """The level of a chance, 0 to 1, as weather services put such levels into words."""
    return next((words for below, words in _LEVELS if chance < below), "almost certain")


def why_in_words(why: Why) -> str:
    """A part of a sentence."""
    return _WHYS[why]


def told_median_c(band: Band, low_so_far_c: float | None = None) -> float:
    """The median to the nearest half degree [°C], not above what was lowest so far."""
    told = math.floor(band.p50 * 2.0 + 0.5) / 2.0
    if low_so_far_c is not None and told > low_so_far_c:
        return math.floor(low_so_far_c * 2.0) / 2.0
    return told


def told_band_c(band: Band) -> tuple[int, int]:
    """From which to which whole degree, outward [°C]: in eight nights of ten it lies within."""
    return math.floor(band.p10), math.ceil(band.p90)
