"""What a limit's keys say to each other and to other limits: a setpoint that its quantity can
reach, and a low and a high one that leave room for the air between them. Pure.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from devices.reading import Quantity
from service.nests.place import PlaceKind
from service.quality.judge import SPANS
from service.rules.built_in import built_in_limits
from service.rules.limit import During, Limit, When
from service.settings.entry import Entry
from service.settings.faults import Fault


def limit_faults(limits: Sequence[Entry]) -> Iterator[Fault]:
    """Faults of each limit by itself."""
    for limit in limits:
        if limit.has("low") and limit.has("high"):
            yield limit.fault("high", "low or high, one of the two", "stands beside low")
        elif not limit.has("low") and not limit.has("high"):
            yield limit.missing("low", "low or high, one of the two")
        quantity = limit.text("quantity")
        if quantity is not None:
            yield from _setpoint_faults(limit, Quantity(quantity))


def crossed_limits(file: Entry, places: Sequence[str]) -> Iterator[Fault]:
    """Limits of one place and quantity between which no value is right.

    Where a low one lies above a high one there is always an alarm. Where either is only over
    once the other is breached, one would follow the other for ever. The built-in limits count
    with those of the pages, as far as no limit of the same id stands in their place; a limit
    that is off crosses nothing.
    """
    sides = [side for limit in file.tables("limit") if (side := _side(limit)) is not None]
    ids = {limit.text("id") for limit in file.tables("limit")}
    holding = [_of_built_in(one) for one in _built_in(file, places) if one.id not in ids]
    lows = [side for side in (*sides, *holding) if side.is_low]
    highs = [side for side in (*sides, *holding) if not side.is_low]
    for low, high in product(lows, highs):
        if _meet(low, high) and not _leave_room(low, high):
            # The one that is written later is told of: it was probably changed last.
            told, other = (high, low) if _is_later(high, low) else (low, high)
            if told.entry is not None:
                yield _crossing(told, told.entry, other)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Side:
    """A limit as far as it can cross another; ``entry`` is None for a built-in one."""

    id: str
    where: tuple[str, str]
    when: When
    during: During
    is_low: bool
    setpoint: float
    deadband: float
    entry: Entry | None

    @property
    def over_at(self) -> float:
        """The value at which its alarm may be over."""
        return self.setpoint + self.deadband if self.is_low else self.setpoint - self.deadband


def _side(limit: Entry) -> _Side | None:
    """None for one that is off, or whose own keys are at fault."""
    low, high = limit.number("low"), limit.number("high")
    setpoint = high if low is None else low
    place, quantity = limit.text("place"), limit.text("quantity")
    if setpoint is None or place is None or quantity is None or limit.told.get("on") is False:
        return None
    if low is not None and high is not None:
        return None
    return _Side(
        id=limit.text("id") or "",
        where=(place, quantity),
        when=When(limit.text("when") or When.ALWAYS),
        during=During(limit.text("during") or During.ALWAYS),
        is_low=low is not None,
        setpoint=setpoint,
        deadband=limit.number("deadband") or 0.0,
        entry=limit,
    )


def _of_built_in(limit: Limit) -> _Side:
    return _Side(
        id=limit.id,
        where=(limit.place, limit.quantity),
        when=limit.when,
        during=limit.during,
        is_low=limit.low is not None,
        setpoint=limit.setpoint,
        deadband=limit.deadband,
        entry=None,
    )


def _built_in(file: Entry, places: Sequence[str]) -> tuple[Limit, ...]:
    """Those that hold beside limits of the pages. A file with limits of its own has none."""
    limits = file.table("limits")
    if limits is None or limits.told.get("built_in") is not True:
        return ()
    kinds = {place.text("id"): place.text("kind") for place in file.tables("place")}
    sensed = {sensor.text("place") for sensor in file.tables("sensor")}
    sheds = [one for one in places if kinds.get(one, PlaceKind.SHED) == PlaceKind.SHED]
    flights = [one for one in places if kinds.get(one) == PlaceKind.FLIGHT and one in sensed]
    return built_in_limits(sheds, flights)


def _meet(low: _Side, high: _Side) -> bool:
    """Whether both hold at one place at some time."""
    lights, parts = {low.when, high.when}, {low.during, high.during}
    return (
        low.where == high.where
        and lights != {When.DAY, When.NIGHT}
        and parts != {During.BREEDING, During.RESTING}
    )


def _leave_room(low: _Side, high: _Side) -> bool:
    return (
        low.over_at <= high.setpoint
        and high.over_at >= low.setpoint
        and (low.setpoint < high.setpoint)
    )


def _is_later(one: _Side, other: _Side) -> bool:
    if one.entry is None or other.entry is None:
        return other.entry is None
    return one.entry.path > other.entry.path


def _crossing(told: _Side, entry: Entry, other: _Side) -> Fault:
    unit = Quantity(told.where[1]).unit
    side = "low" if told.is_low else "high"
    bound = f"{other.setpoint:g} {unit} ({'high' if told.is_low else 'low'} of {other.id})"
    if (told.setpoint < other.setpoint) is told.is_low and told.setpoint != other.setpoint:
        return entry.fault(
            "deadband" if entry.has("deadband") else side,
            f"deadbands that leave room between {told.setpoint:g} and {bound}",
            "leaves no room",
        )
    word = "below" if told.is_low else "above"
    return entry.fault(side, f"a number {word} {bound}", f"crosses {other.id}")


def _setpoint_faults(limit: Entry, quantity: Quantity) -> Iterator[Fault]:
    # A return to normal needs readings that pass, so the limit must lie where they do.
    least, most = SPANS[quantity].usual
    span = f"{quantity} from {least:g} to {most:g} {quantity.unit}"
    deadband = limit.number("deadband") or 0.0
    for key, inwards in (("low", deadband), ("high", -deadband)):
        setpoint = limit.number(key)
        if setpoint is None:
            continue
        if not least <= setpoint <= most:
            yield limit.fault(key, span)
        elif not least <= setpoint + inwards <= most:
            yield limit.fault("deadband", f"{key} and deadband together within {span}")
