"""What may be said of tonight: the answer to ``outlook``, and the same for pages."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from typing_extensions import TypedDict

from devices.reading import Quantity
from service.answers.telling import age_s, rfc3339_or_none
from service.climate.outlook.evaluate import Band
from service.climate.outlook.night_span import planned_night
from service.climate.outlook.outlook import ALL_FROM, CHANCES_FROM, LEARNS_FROM, Outlook, Why
from service.climate.outlook.outlook_json import (
    UnreadableOutlookError,
    model_from,
    outlook_from,
)
from service.climate.outlook.wording import why_in_words
from service.nests.place import PlaceKind
from service.rules.limit import Limit, When
from service.settings.settings import Settings
from service.store.outlook_store import OutlookStore

NEXT_ONE = "it is told from eight hours before the lamps go off"


NO_NIGHT = (
    "nothing says when it is night; tell set-up when the lamps burn, or where the shed stands"
)


class BandAnswer(TypedDict):
    """Quantiles [°C]: one night in ten is colder than p10, one warmer than p90."""

    p10: float
    p50: float
    p90: float


class OutlookAnswer(TypedDict):
    """``level`` is silent, learning, chances or all; ``reasons`` says in words what is missing.

    ``crossed_c`` are limits that the night has been below already.
    """

    issued_at: str | None
    night: str | None
    low_c: BandAnswer | None
    low_at: str | None
    chance_below: dict[str, float]
    chance_condensation: float | None
    nights_used: int
    level: str
    reasons: list[str]
    nights_needed: int
    age_s: float | None
    stale: bool
    night_from: str | None
    night_to: str | None
    low_from: str | None
    low_to: str | None
    low_so_far_c: float | None
    crossed_c: list[float]
    with_outdoor: bool
    fitted_at: str | None
    changed_since: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tonight:
    """``said`` of the shed's own air at ``place``; only where it says anything."""

    place: str
    said: Outlook
    low_c: Band


def outlook(store: OutlookStore, settings: Settings, now: datetime) -> OutlookAnswer:
    """What was said last; stale where the night is over or it was said too long ago.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    said = newest_outlook(store, now)
    if said is None:
        return _nothing_said(_nights_known(store, now), night_known=knows_night(settings, now))
    band = said.low_c
    over = now >= said.night.until
    return {
        "issued_at": rfc3339_or_none(said.issued_at),
        "night": said.night.evening.isoformat(),
        "low_c": _band(band) if band else None,
        "low_at": rfc3339_or_none(said.low_at),
        "chance_below": {
            f"{limit}": round(chance, 3) for limit, chance in sorted(said.chance_below.items())
        },
        "chance_condensation": _rounded(said.chance_condensation, 3),
        "nights_used": said.nights_used,
        "level": said.level.value,
        "reasons": [*reasons(said), *((NEXT_ONE,) if over else ())],
        "nights_needed": nights_needed(said.nights_used),
        "age_s": age_s(said.issued_at, now),
        "stale": said.stale(now) or over,
        "night_from": rfc3339_or_none(said.night.since),
        "night_to": rfc3339_or_none(said.night.until),
        "low_from": rfc3339_or_none(said.low_from),
        "low_to": rfc3339_or_none(said.low_to),
        "low_so_far_c": _rounded(said.low_so_far_c, 2),
        "crossed_c": sorted(said.crossed_c),
        "with_outdoor": said.with_outdoor,
        "fitted_at": rfc3339_or_none(said.fitted_at),
        "changed_since": said.changed_since.isoformat() if said.changed_since else None,
    }


def tonight(store: OutlookStore, settings: Settings, now: datetime) -> Tonight | None:
    """What was said last of a night that has not ended; None where nothing may be said.

    It may be stale: whoever shows it asks.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    said = newest_outlook(store, now)
    shed = next((one.id for one in settings.places if one.kind is PlaceKind.SHED), None)
    if said is None or said.low_c is None or shed is None or now >= said.night.until:
        return None
    return Tonight(place=shed, said=said, low_c=said.low_c)


def newest_outlook(store: OutlookStore, now: datetime) -> Outlook | None:
    """As it was kept; None before the first, or where another version has written it.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    kept = store.outlook(now)
    if kept is None:
        return None
    try:
        return outlook_from(kept.body)
    except UnreadableOutlookError:
        return None


def reasons(said: Outlook) -> list[str]:
    """Why not more is said, in parts of sentences."""
    return [why_in_words(why) for why in said.whys]


def nights_needed(nights_used: int) -> int:
    """After how many nights it says more than now; as many as it has where it says all."""
    return next(
        (one for one in (LEARNS_FROM, CHANCES_FROM, ALL_FROM) if nights_used < one), nights_used
    )


def cold_limits(limits: Sequence[Limit], place: str) -> tuple[Limit, ...]:
    """The limits that a low of the night at a place may pass."""
    return tuple(
        one
        for one in limits
        if one.place == place
        and one.quantity is Quantity.TEMPERATURE
        and one.low is not None
        and one.when is not When.DAY
    )


def _nights_known(store: OutlookStore, now: datetime) -> int:
    """How many the newest model learned from; none without one that can be read."""
    kept = store.model(now)
    if kept is None:
        return 0
    try:
        return model_from(kept.body).nights_used
    except UnreadableOutlookError:
        return 0


def knows_night(settings: Settings, now: datetime) -> bool:
    """Whether anything says when it is night: the lamps' times, or where the shed stands."""
    today = now.astimezone(settings.site.timezone).date()
    return planned_night(settings.light, today) is not None


def _nothing_said(nights_used: int, *, night_known: bool) -> OutlookAnswer:
    waits = NEXT_ONE if nights_used >= LEARNS_FROM else why_in_words(Why.NO_MODEL)
    if not night_known:
        waits = NO_NIGHT
    return {
        "issued_at": None,
        "night": None,
        "low_c": None,
        "low_at": None,
        "chance_below": {},
        "chance_condensation": None,
        "nights_used": nights_used,
        "level": "silent",
        "reasons": [waits],
        "nights_needed": nights_needed(nights_used),
        "age_s": None,
        "stale": True,
        "night_from": None,
        "night_to": None,
        "low_from": None,
        "low_to": None,
        "low_so_far_c": None,
        "crossed_c": [],
        "with_outdoor": False,
        "fitted_at": None,
        "changed_since": None,
    }


def _band(band: Band) -> BandAnswer:
    return {"p10": round(band.p10, 2), "p50": round(band.p50, 2), "p90": round(band.p90, 2)}


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)
