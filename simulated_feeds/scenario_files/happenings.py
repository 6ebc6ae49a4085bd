"""What each happening needs: whom it strikes, and how much of it there can be.

Spans are wide: what lies outside is a slip of the pen, not weather (no source).
"""

from dataclasses import dataclass

from simulated_feeds.happening import What
from simulated_feeds.impossible import Span

BOX = "box"
DEVICE = "device"


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """``who`` is None for what strikes the whole shed; ``amount`` None for what has none."""

    who: str | None = None
    amount: Span | None = None


_OF_THE_SHED = Needs()
_OF_A_DEVICE = Needs(who=DEVICE)

NEEDS = {
    What.COLD_NIGHT: Needs(amount=Span(-30.0, 20.0, "°C")),
    What.DAMP_NIGHT: _OF_THE_SHED,
    What.HEAT_WAVE: Needs(amount=Span(15.0, 45.0, "°C")),
    What.HEATER_FAILS: _OF_THE_SHED,
    What.VENT_STUCK_SHUT: _OF_THE_SHED,
    What.POWER_CUT: _OF_THE_SHED,
    What.LAMPS_FAIL: _OF_THE_SHED,
    What.LAMPS_ON: _OF_THE_SHED,
    What.TIMER_OFF: Needs(amount=Span(-12.0, 12.0, "h")),
    What.DOES_NOT_CLEAR: Needs(who=BOX),
    What.OFF_HER_EGGS: Needs(who=BOX),
    What.STOPS: _OF_A_DEVICE,
    What.STUCK: _OF_A_DEVICE,
    What.READS_85: _OF_A_DEVICE,
    What.REBOOTS: _OF_A_DEVICE,
    What.WRONG_CLOCK: Needs(who=DEVICE, amount=Span(-315_360_000.0, 315_360_000.0, "s")),
    What.TWIN: _OF_A_DEVICE,
    What.BACKLOG: _OF_A_DEVICE,
    What.DROPS: Needs(who=DEVICE, amount=Span(0.0, 1.0)),
    What.SATURATED: _OF_A_DEVICE,
    What.BATTERY_SAGS: _OF_A_DEVICE,
    What.GLITCHES: _OF_A_DEVICE,
}


def faults_of(
    what: What, who: str | None, amount: float | None, *, boxes: set[str], devices: set[str]
) -> list[str]:
    """What is wrong with a happening, each in a sentence; empty for one that can be."""
    needs = NEEDS[what]
    known = {BOX: boxes, DEVICE: devices}.get(needs.who or "", set())
    faults = []
    if needs.who is None and who is not None:
        faults.append(f"who is {who!r}; {what} strikes the whole shed: leave it out")
    elif needs.who is not None and who not in known:
        told = "missing" if who is None else repr(who)
        faults.append(f"who is {told}; {what} strikes a {needs.who}: {', '.join(sorted(known))}")
    if needs.amount is None and amount is not None:
        faults.append(f"amount is {amount}; {what} has none: leave it out")
    elif needs.amount is not None and (amount is None or not needs.amount.holds(amount)):
        told = "missing" if amount is None else str(amount)
        faults.append(f"amount is {told}; allowed is {needs.amount}")
    return faults
