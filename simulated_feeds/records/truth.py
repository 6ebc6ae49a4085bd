"""What ``truth.json`` says: everything that was really the case in a simulated shed.

Times are RFC 3339 in UTC; temperatures °C, humidities % over liquid water, light lx, masses g.
``hours``, ``nights``, ``lamps``, ``events``, ``faults`` and ``must_follow`` are in time order;
``bouts`` are told as they end, box by box within a day; ``clutches``, ``eggs`` and ``chicks`` go
by their names. Nothing that lies after the recording's end is told. Keys that stand in ``show …
--json`` too mean the same here, but for that nothing here was measured. More keys may be added;
none is renamed.
"""

from typing import TypedDict


class BoxAirTold(TypedDict):
    """Air in a box."""

    c: float
    rh_pct: float


class Hour(TypedDict):
    """At a full hour. ``boxes`` by place; ``heater_w`` and ``mains`` (0 or 1) at that minute."""

    t: str
    shed_c: float
    shed_rh_pct: float
    light_lx: float
    outdoors_c: float
    outdoors_rh_pct: float
    surface_c: float
    condensate_g: float
    heater_w: float
    mains: int
    boxes: dict[str, BoxAirTold]


class BoxNight(TypedDict):
    """A night in one box: its lowest temperature and its least distance to the dew point [K]."""

    low_c: float
    dew_margin_min_c: float


# ``from`` is no name in Python.
Night = TypedDict(
    "Night",
    {
        "night": str,  # local date of its evening
        "from": str,
        "to": str,
        "low_c": float,
        "low_at": str,
        "hours_below": dict[str, float],  # by the limit that was too cold
        "rh_max_pct": float,
        "dew_margin_min_c": float,  # least distance of the shed's air to its dew point [K]
        "surface_margin_min_c": float,  # the same of the coldest inner surface
        "condensation_min": int,  # minutes with water on that surface
        "boxes": dict[str, BoxNight],
    },
)

Stretch = TypedDict("Stretch", {"from": str, "to": str})
"""For lamps: some lamp was lit from, and none was any more."""

Bout = TypedDict("Bout", {"box": str, "who": str, "from": str, "to": str})
"""A bird (``cock`` or ``hen``) was in a box, without a break."""

FaultTold = TypedDict(
    "FaultTold",
    {"what": str, "who": str | None, "from": str, "to": str, "amount": float | None},
)
"""What was made to happen, beside what weather and birds do by themselves."""


class NestEvent(TypedDict):
    """``egg`` names egg or chick; ``grams`` is what the box gained; ``why`` a fate or a box."""

    t: str
    box: str
    kind: str
    egg: str | None
    grams: float
    why: str


FollowsTold = TypedDict(
    "FollowsTold",
    {"alarm": str | None, "event": str | None, "place": str, "from": str, "to": str},
)
"""What must follow: an alarm is raised, or an event seen, within that time."""


class Head(TypedDict):
    """Top-level keys of ``truth.json`` that are no lists."""

    scenario: str
    about: str
    seed: int
    start: str
    origin: str
    latitude: float
    longitude: float
    timezone: str
    cold_limit_c: float
    dark_below_lx: float


class PlantedEffect(TypedDict):
    """Log-odds of an outcome for each ``sd`` of a condition above its ``mean``; 0 plants none."""

    outcome: str
    condition: str
    log_odds_per_sd: float
    mean: float
    sd: float


class ClutchTold(TypedDict):
    """One sitting. Effects are the birds' own, in log-odds; ``cock`` and ``hen`` are birds' ids.

    ``clutch`` is named ``pair.round``, pairs counted from 1 as in the book.
    """

    clutch: str
    box: str
    cage: str
    cock: int
    hen: int
    round: int
    entered_at: str
    sitting_from: str | None
    bedding_left_g: float
    cleared: bool
    hen_effect: float
    cock_effect: float
    clutch_effect: float
    over_at: str | None


class MoveTold(TypedDict):
    """The keeper took an egg or chick from one box into another."""

    at: str
    from_box: str
    to_box: str


class EggTold(TypedDict):
    """An egg, named ``clutch.number``. ``fate`` is what it truly was, None while it is open.

    ``grew_from``: laid and sat on. ``chance`` is that of hatching if fertile, by all it lived
    through; ``conditions`` that.
    """

    egg: str
    clutch: str
    number: int
    laid_at: str
    length_mm: float
    breadth_mm: float
    fresh_g: float
    mass_g: float
    fertile: bool
    fertile_chance: float
    grew_from: str | None
    fate: str | None
    died_at: str | None
    ended_at: str | None
    moves: list[MoveTold]
    conditions: dict[str, float]
    chance: float


class ChickTold(TypedDict):
    """The chick of an egg. ``masses`` are [age in days, grams], one a day while in the box."""

    egg: str
    hatched_at: str
    rank: int
    ring: str | None
    fate: str | None
    died_at: str | None
    left_at: str | None
    weaned_at: str | None
    early: bool
    conditions: dict[str, float]
    chance: float
    masses: list[tuple[float, float]]


LISTS = {
    "hours": Hour,
    "nights": Night,
    "lamps": Stretch,
    "bouts": Bout,
    "events": NestEvent,
    "planted": PlantedEffect,
    "clutches": ClutchTold,
    "eggs": EggTold,
    "chicks": ChickTold,
    "faults": FaultTold,
    "must_follow": FollowsTold,
}
"""The lists of ``truth.json`` after its head, each with what one of its rows is."""
