"""What ``truth.json`` says: everything that was really the case in a simulated shed.

Times are RFC 3339 in UTC; temperatures °C, humidities % over liquid water, light lx, masses g.
Lists are in time order. Keys that stand in ``show … --json`` too mean the same here, but for
that nothing here was measured. More keys may be added; none is renamed.
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
