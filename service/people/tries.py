"""How often a password may be tried. Pure: time is an argument, in seconds of a clock that never
jumps.

Every try belongs to a lane, and is slowed in two ways.

- By lane: after five wrong passwords in a row a minute passes before the next is looked at, then
  two, four, up to fifteen. A lane without a try for fifteen minutes begins afresh.
- In all: strangers together get 40 wrong tries in ten minutes, who sits at the machine ten more,
  and the known browsers of one person ten at that person's password. So of a thousand guesses
  at a password in ten minutes from a thousand addresses at most 60 are looked at, and only 40 of
  those that come from strangers. Nobody uses up the tries of another person: a helper who
  signs in again and again, with as many browsers as they like, holds up no keeper.

So that nobody can lock the keeper out, a lane is one of three kinds. A browser that has signed
in under this name before has a lane of its own (it carries a proof that can't be invented), and
so has whoever sits at the machine; a flood of strangers reaches neither. All else is a
stranger, told apart by address; a few gadgets that guess are held back by their own lanes long
before the 40 are used up, so that a new phone still gets in.

Source of the idea of a known browser: OWASP, "Slow Down Online Guessing Attacks with Device
Cookies". The numbers are ours.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from ipaddress import IPv4Address, IPv6Address, ip_address
from types import MappingProxyType

FREE = 5
FIRST_WAIT_S = 60.0
LONGEST_WAIT_S = 900.0
FORGOTTEN_AFTER_S = 900.0
WINDOW_S = 600.0
MOST_STRANGERS = 40
MOST_HERE = 10
MOST_KNOWN = 10


class LaneKind(StrEnum):
    """Who tries."""

    HERE = "here"
    KNOWN = "known"
    STRANGER = "stranger"


_MOST = {
    LaneKind.STRANGER: MOST_STRANGERS,
    LaneKind.HERE: MOST_HERE,
    LaneKind.KNOWN: MOST_KNOWN,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """One row of tries. ``person`` is whose known browser it is."""

    kind: LaneKind
    key: str = ""
    person: int | None = None

    @property
    def share(self) -> "Share":
        """With whom it shares the tries that there are in all."""
        return self.kind, self.person


Share = tuple[LaneKind, int | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """What a lane has behind it: wrong passwords in a row, and when the last try was."""

    wrong: int
    last: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tries:
    """All tries that still count. ``in_all`` holds their times, oldest first."""

    lanes: Mapping[Lane, Past] = field(default_factory=lambda: MappingProxyType({}))
    in_all: tuple[tuple[Share, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """``wait_s`` is 0 when the password may be looked at now; the try is counted then."""

    tries: Tries
    wait_s: float


def ask(tries: Tries, lane: Lane, now: float) -> Asked:
    """May a password be looked at for this lane now?

    A try that may is counted as a wrong one at once, so that many at the same moment can't
    slip through; ``right`` takes it back. One that may not is not counted: whoever waits, waits
    no longer because of others who don't.
    """
    kept = _still_counting(tries, now)
    wait_s = max(_lane_wait(kept.lanes.get(lane), now), _wait_in_all(kept, lane, now))
    if wait_s > 0:
        return Asked(tries=kept, wait_s=wait_s)
    past = kept.lanes.get(lane)
    lanes = {**kept.lanes, lane: Past(wrong=(past.wrong if past else 0) + 1, last=now)}
    counted = Tries(lanes=lanes, in_all=(*kept.in_all, (lane.share, now)))
    return Asked(tries=counted, wait_s=0.0)


def right(tries: Tries, lane: Lane) -> Tries:
    """The password was right: its lane begins afresh, and it was no guess."""
    lanes = {one: past for one, past in tries.lanes.items() if one != lane}
    mine = [at for at, (share, _) in enumerate(tries.in_all) if share == lane.share]
    in_all = tuple(one for at, one in enumerate(tries.in_all) if at not in mine[-1:])
    return Tries(lanes=lanes, in_all=in_all)


def address_key(address: str) -> str:
    """One key for one household of addresses: an IPv6 device has 2^64 of its own."""
    try:
        found: IPv4Address | IPv6Address = ip_address(address.partition("%")[0])
    except ValueError:
        return "unknown"
    if isinstance(found, IPv6Address):
        return str(found.ipv4_mapped or int(found) >> 64)
    return str(found)


def _still_counting(tries: Tries, now: float) -> Tries:
    return Tries(
        lanes={
            lane: past
            for lane, past in tries.lanes.items()
            if now < past.last + max(_pause_s(past), FORGOTTEN_AFTER_S)
        },
        in_all=tuple((share, at) for share, at in tries.in_all if now < at + WINDOW_S),
    )


def _pause_s(past: Past) -> float:
    """How long after its last try a lane has to wait [s]."""
    if past.wrong < FREE:
        return 0.0
    doublings = min(past.wrong - FREE, 10)
    return float(min(FIRST_WAIT_S * 2**doublings, LONGEST_WAIT_S))


def _lane_wait(past: Past | None, now: float) -> float:
    return 0.0 if past is None else max(0.0, past.last + _pause_s(past) - now)


def _wait_in_all(tries: Tries, lane: Lane, now: float) -> float:
    times = [at for share, at in tries.in_all if share == lane.share]
    most = _MOST[lane.kind]
    return 0.0 if len(times) < most else max(0.0, times[-most] + WINDOW_S - now)
