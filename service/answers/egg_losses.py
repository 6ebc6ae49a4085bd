"""What the eggs of a box have lost of their water, wherever each of them lay."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Protocol

from service.answers.air_by_hours import air_at, box_hours, whole_hour
from service.climate.egg_water import BoxHour, EggStay, Loss
from service.climate.egg_weighed import EggLoss, EggWeighed, egg_loss
from service.nests.nest import EggFate, Nest
from service.nests.residents import Resident, residents
from service.nests.species import SpeciesSettings
from service.nests.weighing import Weighing
from service.settings.settings import Settings
from service.store.reading_store import ReadingStore

TELLS_THE_REST_AFTER = timedelta(days=3)
"""After fewer days in the warm nothing is said of the day of hatching."""

_DAY = timedelta(days=1)


class WeighedEggs(Protocol):
    """What is asked of the nest book."""

    def species(self) -> SpeciesSettings: ...
    def weighings_of(self, clutch_id: int) -> Sequence[Weighing]: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class LossOfEgg:
    """``lost`` is what one egg lost in ``days`` since it was laid; it is ``over`` when it hatched
    or was lost. ``by_hatching`` is what it will have lost by then in air as so far; None where
    it is over, or too early to tell. ``overdue`` where nobody told the end of its time: then it
    is over with the last day that it may hatch. ``home`` is the box a guest was laid in.
    """

    number: int
    home: str | None
    days: float
    over: bool
    lost: EggLoss
    by_hatching: Loss | None
    overdue: bool = False


def egg_losses(
    store: ReadingStore, book: WeighedEggs, settings: Settings, nest: Nest, now: datetime
) -> tuple[LossOfEgg, ...]:
    """Of each egg, or chick's egg, of this box: its own and its guests.

    Those of which neither a sensor in a box nor a scale told anything are left out: the air of a
    shed is not that of a box.

    Raises:
        StoreUnavailableError: a store can't be read now.
    """
    species = book.species()
    here = residents(nest, species, settings.site.timezone)
    if not here:
        return ()
    first = min(one.egg.laid_from for one in here)
    boxes = _Boxes(store, settings, first, now)
    told = {
        one.id: one for clutch in {r.clutch.id for r in here} for one in book.weighings_of(clutch)
    }
    found = (_of(one, boxes, tuple(told.values()), species, now) for one in here)
    return tuple(one for one in found if one is not None)


class _Boxes:
    """The hours of boxes, each read once."""

    def __init__(
        self, store: ReadingStore, settings: Settings, since: datetime, until: datetime
    ) -> None:
        self._store, self._settings = store, settings
        self._since, self._until = since, until
        self._series = tuple(store.series())
        self._known: dict[str, tuple[BoxHour, ...]] = {}

    def hours(self, box: str) -> tuple[BoxHour, ...]:
        if box not in self._known:
            air = air_at(box, self._series, self._settings)
            self._known[box] = (
                () if air is None else box_hours(self._store, air, self._since, self._until)
            )
        return self._known[box]


def _of(
    one: Resident,
    boxes: _Boxes,
    weighings: Sequence[Weighing],
    species: SpeciesSettings,
    now: datetime,
) -> LossOfEgg | None:
    laid_at = _middle(one.egg.laid_from, one.egg.laid_to)
    ended, hatches_by = _ended(one), one.grew.after(species.hatch_after_sitting).until
    overdue = ended is None and hatches_by < now
    # An egg that nobody tells the end of is reckoned to the last day it may hatch, not for ever.
    ended = hatches_by if overdue else ended
    until = min(now, ended or now)
    if until <= laid_at:
        return None
    stay = EggStay(
        laid_at=laid_at,
        until=until,
        warm_from=min(max(one.grew.since, laid_at), until),
        warm_to=min(max(one.grew.until, laid_at), until),
        hours=tuple(_hours(one, boxes, laid_at, until)),
        length_mm=one.egg.length_mm,
        breadth_mm=one.egg.breadth_mm,
    )
    by_scale = [
        EggWeighed(at=told.at, mass_g=told.mass_g)
        for told in weighings
        if told.egg_id == one.egg.id
    ]
    lost = egg_loss(stay, by_scale)
    if lost.coverage == 0 and not lost.doubt:
        return None
    return LossOfEgg(
        number=one.egg.number,
        home=one.home.name if one.home is not None else None,
        days=(until - laid_at) / _DAY,
        over=ended is not None and ended <= now,
        overdue=overdue,
        lost=lost,
        by_hatching=None if ended is not None else _by_hatching(stay, lost, one, species),
    )


def _ended(one: Resident) -> datetime | None:
    """When it stopped being an egg that loses water; None while it lies there."""
    if one.chick is not None:
        return _middle(one.chick.hatched_from, one.chick.hatched_to)
    fate = one.egg.fate
    if fate is None or one.egg.fate_to is None:
        return None
    # What was found broken or gone was so since some instant between two looks.
    gone = fate in (EggFate.BROKEN, EggFate.MISSING)
    return one.egg.fate_from if gone and one.egg.fate_from else one.egg.fate_to


def _hours(one: Resident, boxes: _Boxes, since: datetime, until: datetime) -> list[BoxHour]:
    """Each from the box that it lay in then; the hour of a move is that of its beginning.

    Asked of the hours that there are, not of the calendar: a year mistyped has millions.
    """
    egg, home = one.egg, one.clutch.box
    first = whole_hour(since)
    lay_there = [
        hour
        for box in {home, *(move.to_box for move in egg.moves)}
        for hour in boxes.hours(box)
        if first <= hour.start < until and egg.box_at(max(hour.start, since), home) == box
    ]
    return sorted(lay_there, key=lambda hour: hour.start)


def _by_hatching(
    stay: EggStay, lost: EggLoss, one: Resident, species: SpeciesSettings
) -> Loss | None:
    warm_at = _middle(stay.warm_from, stay.warm_to)
    warm = stay.until - warm_at
    if lost.loss is None or warm < TELLS_THE_REST_AFTER:
        return None
    hatches = one.grew.after(species.hatch_after_sitting)
    rest = max(timedelta(), _middle(hatches.since, hatches.until) - stay.until)
    more = 1 + rest / warm
    return replace(lost.loss, middle=lost.loss.middle * more, spread=lost.loss.spread * more)


def _middle(since: datetime, until: datetime) -> datetime:
    return since + (until - since) / 2
