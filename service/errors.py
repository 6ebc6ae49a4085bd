"""The errors that the service tells apart.

ClutchweatherError                      (devices.errors)
    DecodeError (ValueError)
    StoreUnavailableError               a store cannot be read or written now; retry helps
    BrokerRefusedError                  the broker answers, and says no
    AlreadyRunningError                 another copy holds the data folder
    ConfigurationError (ValueError)     the configuration file has faults; all are told
    InputError (ValueError)             a file or an argument is wrong; says where and what
    NotInThisVersionError               asked for, understood, not built yet
    NotKnownError (LookupError)         no such box, bird, alarm
"""

from collections.abc import Sequence

from devices.errors import ClutchweatherError


class StoreUnavailableError(ClutchweatherError):
    """Nothing was changed; the caller keeps what it has and tries again."""


class BrokerRefusedError(ClutchweatherError):
    """The broker refused a connection or a subscription."""


class AlreadyRunningError(ClutchweatherError):
    """Another copy is at work in the same data folder."""


class ConfigurationError(ClutchweatherError, ValueError):
    """The configuration has faults, each a line of its own in ``faults``."""

    def __init__(self, faults: Sequence[str]) -> None:
        super().__init__("\n".join(faults))
        self.faults = tuple(faults)


class InputError(ClutchweatherError, ValueError):
    """Something that was typed or handed in is wrong."""


class NotInThisVersionError(ClutchweatherError):
    """The word is known; what it asks for is not built yet."""


class NotKnownError(ClutchweatherError, LookupError):
    """Nothing here bears that name."""
