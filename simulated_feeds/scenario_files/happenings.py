"""What each happening of shed and birds needs: whom it strikes, and how much there can be of it.

Spans are wide: what lies outside is a slip of the pen, not weather (no source). What senders
suffer is judged beside them.
"""

from collections.abc import Collection

from simulated_feeds.happening import Happening, What
from simulated_feeds.impossible import Span, shown
from simulated_feeds.senders.agreement import OF_SENDERS

_OF_A_BOX = frozenset((What.DOES_NOT_CLEAR, What.OFF_HER_EGGS))
_AMOUNTS = {
    What.COLD_NIGHT: Span(-30.0, 20.0, "°C"),
    What.DAMP_NIGHT: Span(-5.0, 25.0, "°C"),
    What.HEAT_WAVE: Span(15.0, 45.0, "°C"),
    What.TIMER_OFF: Span(-12.0, 12.0, "h"),
}


def faults_of(happening: Happening, boxes: Collection[str]) -> list[str]:
    """What is wrong with a happening, each in a sentence; empty for one that can be."""
    if happening.what in OF_SENDERS:
        return []
    return [*_who(happening, boxes), *_amount(happening)]


def _who(happening: Happening, boxes: Collection[str]) -> list[str]:
    what, who = happening.what, happening.who
    if what in _OF_A_BOX:
        told = "missing" if who is None else shown(who)
        allowed = ", ".join(boxes)
        return [] if who in boxes else [f"who of {what} is {told}; allowed is {allowed}"]
    return [] if who is None else [f"who of {what} is {shown(who)}; it strikes the whole shed"]


def _amount(happening: Happening) -> list[str]:
    what, amount = happening.what, happening.amount
    span = _AMOUNTS.get(what)
    if span is None:
        return [] if amount is None else [f"amount of {what} is {amount}; it has none"]
    if amount is not None and not span.holds(amount):
        return [f"amount of {what} is {amount}; allowed is {span}"]
    return []
