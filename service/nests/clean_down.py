"""What is to be done after a season, place by place. Pure.

Common practice, no source. The cautions stand beside the list on the page.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from service.nests.place import Place, PlaceKind


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanDownTask:
    """``place`` is None for the whole shed's keeping. Done when ``done_at`` is known."""

    id: int
    season_id: int
    what: str
    place: str | None = None
    done_at: datetime | None = None
    done_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxOff:
    """A nest box that is taken off its cage, or closed."""

    box: str
    since: datetime
    by: str | None = None


_BY_KIND = {
    PlaceKind.BOX: (
        "Bedding damped, taken out and bagged",
        "Scraped, washed, and looked over for mites in every seam",
        "Dried through, and put away dry",
    ),
    PlaceKind.CAGE: (
        "Perches, dishes and toys out; washed or thrown away",
        "Tray and floor damped, then scraped",
        "Washed, rinsed and dried; bars and seams looked over for mites",
    ),
    PlaceKind.FLIGHT: (
        "Floor damped, then cleared",
        "Perches and dishes washed or renewed; looked over for mites",
    ),
    PlaceKind.SHED: (
        "Shelves and floor damped, then swept",
        "Lamps, heaters and fans wiped, switched off and unplugged first",
        "Sensors wiped with a damp cloth, their places unchanged",
        "Old seed thrown out, bins washed and dried",
        "Rings, candling light and first aid looked through for next season",
    ),
}

CAUTIONS = (
    "Dust from droppings and feathers harms lungs: damp it before you sweep or scrape, wear a "
    "mask that is meant for fine dust, open door and window, and keep others out.",
    "No bird stays in the room while you clean with anything but water, nor until it is dry and "
    "aired: birds die of fumes that people hardly smell.",
    "Follow the label of every cleaning agent and every mite powder or spray: what it is for, how "
    "much, how long, and gloves. Never mix two: some give off poisonous gas together.",
    "Against mites use only what is allowed for cage birds; which one, and whether birds need "
    "treating too, is for a vet to say.",
    "Switch off and unplug heaters and lamps before you wet anything near them, and let them cool.",
    "Wash your hands and change your clothes afterwards. Whoever coughs or has a fever in the "
    "weeks after tells the doctor of the birds.",
)
"""Usual cautions; common practice, no source."""


def clean_down_of(places: Sequence[Place]) -> Iterator[tuple[str, str]]:
    """Place and what is to be done there, in walking order; nothing for ``outdoors``."""
    for place in sorted(places, key=lambda place: (place.order, place.id)):
        for what in _BY_KIND.get(place.kind, ()):
            yield place.id, what
