"""The root of all errors of this project, and those of decoding.

ClutchweatherError
    DecodeError (ValueError)        one payload, or one record in it, cannot be read
    (service.errors continues the tree)
"""


class ClutchweatherError(Exception):
    """Something that has a name here."""


class DecodeError(ClutchweatherError, ValueError):
    """A payload does not say what its format promises.

    The message is a sentence that a keeper can act on; ``topic`` and ``reason`` are the
    same facts apart. ``device`` is the sender, where that much could be told.
    """

    def __init__(self, topic: str, reason: str, *, device: str | None = None) -> None:
        super().__init__(f"{topic}: {reason}")
        self.topic = topic
        self.reason = reason
        self.device = device
