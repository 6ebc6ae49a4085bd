"""How the listener stands with its broker, as a value. Pure."""

from collections import deque
from dataclasses import dataclass
from enum import StrEnum

MANY_CONNECTS = 5
MANY_CONNECTS_WITHIN_S = 60.0
TWO_COPIES_REMEMBERED_S = 600.0


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

    ``connected`` is our own judgement: the broker let us in and was heard of late. It is
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
