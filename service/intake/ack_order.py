"""Acknowledgements in the order in which the messages came. Pure.

The standard asks for that order (OASIS MQTT 5.0, section 4.6, [MQTT-4.6.0-2]); some brokers
end the connection when it is broken. One ``AckOrder`` belongs to one connection.
"""


class AckOrder:
    """The messages of a connection that the broker waits to hear about, oldest first."""

    def __init__(self) -> None:
        self._safe_by_mid: dict[int, bool] = {}

    def received(self, mid: int, *, safe: bool = False) -> None:
        """The message came. ``safe`` says that nothing needs to be kept of it."""
        self._safe_by_mid[mid] = safe

    def is_safe(self, mid: int) -> None:
        """The message is stored. A number that is not waited for is left alone."""
        if mid in self._safe_by_mid:
            self._safe_by_mid[mid] = True

    def ready(self) -> list[int]:
        """What can be acknowledged now: all up to the first that is not safe. Forgets them."""
        mids = []
        for mid, safe in self._safe_by_mid.items():
            if not safe:
                break
            mids.append(mid)
        for mid in mids:
            del self._safe_by_mid[mid]
        return mids
