"""Whether senders and what is made to happen to them go together. Pure."""

from collections.abc import Callable, Mapping, Sequence

from devices.sensor import Format
from simulated_feeds.happening import Happening, What
from simulated_feeds.impossible import ImpossibleParameterError
from simulated_feeds.senders.parameters import Sender, SenderKind

OF_SENDERS = frozenset(
    (
        What.STOPS,
        What.STUCK,
        What.READS_85,
        What.REBOOTS,
        What.WRONG_CLOCK,
        What.TWIN,
        What.BACKLOG,
        What.DROPS,
        What.SATURATED,
        What.BATTERY_SAGS,
        What.GLITCHES,
    )
)
"""What one sender suffers; the rest is another part's business."""


def _has_thermometer(sender: Sender) -> bool:
    return sender.kind.has_thermometer


def _has_hygrometer(sender: Sender) -> bool:
    return sender.kind.has_hygrometer


def _tells_time(sender: Sender) -> bool:
    return sender.format is not Format.NUMBER


_NEEDS: Mapping[What, tuple[Callable[[Sender], bool], str]] = {
    What.READS_85: (_has_thermometer, "a sender with a thermometer"),
    What.SATURATED: (_has_hygrometer, "a sender that measures humidity"),
    What.GLITCHES: (lambda sender: sender.kind is SenderKind.SCALE, "a scale"),
    What.BATTERY_SAGS: (lambda sender: sender.on_battery, "a sender on a battery"),
    What.WRONG_CLOCK: (_tells_time, "a sender that tells the time: plain numbers carry none"),
    What.BACKLOG: (_tells_time, "a sender that tells the time: plain numbers carry none"),
    # A twin that neither counts nor names its run could not be told from one that doubles.
    What.TWIN: (lambda sender: sender.format is Format.SENML, "a sender of senml"),
}

_AMOUNTS: Mapping[What, tuple[Callable[[float | None], bool], str]] = {
    What.DROPS: (
        lambda amount: amount is not None and 0.0 < amount <= 1.0,
        "a share, above 0 to 1",
    ),
    What.WRONG_CLOCK: (
        lambda amount: amount is not None and abs(amount) < 4e9,
        "seconds, below 4e9 both ways",
    ),
}


def refuse_impossible_faults(senders: Sequence[Sender], happenings: Sequence[Happening]) -> None:
    """Judge all that is made to happen to senders; the rest is left alone.

    Raises:
        ImpossibleParameterError: two senders of one name; a sender that there is not, or one
            that can't suffer what it is to suffer; an amount that is missing or can't be.
    """
    devices = [sender.device for sender in senders]
    for device in devices:
        if devices.count(device) > 1:
            raise ImpossibleParameterError(
                "device", device, "a name of its own; a second sender of one name is a happening"
            )
    by_name = {sender.device: sender for sender in senders}
    for happening in happenings:
        if happening.what in OF_SENDERS:
            _refuse(happening, by_name)


def _refuse(happening: Happening, senders: Mapping[str, Sender]) -> None:
    what = happening.what
    sender = senders.get(happening.who or "")
    if sender is None:
        listed = ", ".join(senders) or "none: there are no senders"
        raise ImpossibleParameterError(f"who of {what}", happening.who, listed)
    suits, needed = _NEEDS.get(what, (None, ""))
    if suits is not None and not suits(sender):
        raise ImpossibleParameterError(f"who of {what}", sender.device, needed)
    fits, told = _AMOUNTS.get(what, (lambda amount: amount is None, "none: it takes no amount"))
    if not fits(happening.amount):
        raise ImpossibleParameterError(f"amount of {what}", happening.amount, told)
