"""How the listener stands with its broker, as a value. Pure."""

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

MANY_CONNECTS = 5
MANY_CONNECTS_WITHIN_S = 60.0
TWO_COPIES_REMEMBERED_S = 600.0
CANARIES_MISSED = 4


class ListenerState(StrEnum):
    """What the listener is doing."""

    CONNECTING = "connecting"
    CONNECTED = "connected"
    REFUSED = "refused"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True, kw_only=True)
class Patience:
    """How long the listener waits for what [s, real time]."""

    answer_within: float = 5.0
    keep_alive: int = 20
    silent_after: float = 45.0
    canary_every: float = 10.0
    ask_again_after: float = 15.0
    first_pause: float = 1.0
    longest_pause: float = 30.0
    steady_after: float = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Liveness:
    """Whether messages can reach us, at one moment.

    ``connected`` is not what the library says: the broker let us in and was heard of late. It is
    True also when the broker refuses a subscription: then ``state`` is REFUSED.
    ``last_packet_monotonic`` is when the broker was last heard, by the monotonic clock [s];
    None before the first time. ``canary_age`` is how long ago our last message to ourselves
    came back [s]; None when none has come back on this connection: then nothing is known,
    which is no fault where the broker lets us only read. ``text`` says all of it in words.
    """

    state: ListenerState
    connected: bool
    last_packet_monotonic: float | None
    canary_age: float | None
    text: str

    @property
    def ok(self) -> bool:
        """Whether everything that was asked for is being listened to."""
        return self.connected and self.state is ListenerState.CONNECTED


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What the listener knows about one connection that the broker accepted.

    ``refused`` has a reason for each feed's filter that was not granted. Times are
    monotonic [s]; ``canary_back`` is None while none of our messages has come back.
    """

    version: str
    subscribed: bool
    refused: Mapping[str, str]
    canary_refused: bool
    welcomed_at: float
    last_packet: float | None
    canary_back: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """All that a ``Liveness`` is made of. ``trouble`` is why there is no connection."""

    broker: str
    stopped: bool
    moves: bool
    has_room: bool
    two_copies: bool
    trouble: str
    entry_refused: bool
    standing: Standing | None


def liveness_of(situation: Situation, patience: Patience, now: float) -> Liveness:
    """What the situation means at the monotonic time ``now`` [s]."""
    standing = situation.standing
    last_packet = None if standing is None else standing.last_packet
    canary_back = None if standing is None else standing.canary_back
    return Liveness(
        state=_state(situation),
        connected=situation.moves
        and last_packet is not None
        and now - last_packet < patience.silent_after,
        last_packet_monotonic=last_packet,
        canary_age=None if canary_back is None else now - canary_back,
        text=_in_words(situation, patience, now),
    )


def _state(situation: Situation) -> ListenerState:
    standing = situation.standing
    if situation.stopped:
        return ListenerState.STOPPED
    if situation.entry_refused or (standing is not None and standing.refused):
        return ListenerState.REFUSED
    if standing is None or not standing.subscribed:
        return ListenerState.CONNECTING
    return ListenerState.CONNECTED


def _in_words(situation: Situation, patience: Patience, now: float) -> str:
    if situation.stopped:
        said = ["not listening: stopped"]
    elif not situation.moves:
        said = ["not listening: the listener does not move"]
    elif situation.standing is None:
        said = [f"not connected to {situation.broker}: {situation.trouble}; trying again"]
    else:
        said = [f"connected to {situation.broker} ({situation.standing.version})"]
        said += _doubts(situation.standing, patience, now)
    if not situation.has_room:
        said.append("messages wait at the broker: readings are not being stored")
    if situation.two_copies:
        said.append("two copies seem to be running: they push each other out")
    return "; ".join(said)


def _doubts(standing: Standing, patience: Patience, now: float) -> list[str]:
    doubts = []
    if not standing.subscribed:
        doubts.append("the subscriptions are not confirmed yet")
    if standing.last_packet is not None and now - standing.last_packet >= patience.silent_after:
        doubts.append(f"nothing heard from it for {now - standing.last_packet:.0f} s")
    doubts += [
        f"the broker refuses to pass on {name}: {reason}"
        for name, reason in standing.refused.items()
    ]
    # Granted and yet nothing passes: some brokers' access lists do just that.
    since = standing.welcomed_at if standing.canary_back is None else standing.canary_back
    if not standing.canary_refused and now - since > CANARIES_MISSED * patience.canary_every:
        doubts.append(
            f"our own test message has not come back for {now - since:.0f} s: "
            "the broker may not let us read"
        )
    return doubts


class ConnectCounter:
    """Notices when two listeners of one name push each other out.

    A broker lets in only one client of a name; the newer one wins (OASIS MQTT 5.0,
    section 3.1.4). Two copies therefore connect again and again.
    """

    def __init__(self) -> None:
        self._connects: deque[float] = deque(maxlen=MANY_CONNECTS)
        self._suspected_at: float | None = None

    def connected(self, now: float) -> None:
        """Note a connection that the broker accepted. ``now``: monotonic [s]."""
        self._connects.append(now)
        if (
            len(self._connects) == MANY_CONNECTS
            and now - self._connects[0] <= MANY_CONNECTS_WITHIN_S
        ):
            self._suspected_at = now

    def two_copies_suspected(self, now: float) -> bool:
        """Whether five connects within a minute were seen in the last ten minutes."""
        return self._suspected_at is not None and now - self._suspected_at < TWO_COPIES_REMEMBERED_S
