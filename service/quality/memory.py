"""What must be remembered of one series to judge its next reading.

It changes with every reading that is believed, in the order of their times; as made, nothing
was heard. Times are seconds since 1970. ``kept`` and ``put_back`` undo what was judged and
could not be stored.
"""

from math import inf
from operator import attrgetter

from devices.reading import Quantity
from service.quality.flag import Judged
from service.quality.past import NOTHING, Hour, Past, after_hour
from service.quality.terms import HOUR_S, LONGEST_QUIET_S, Terms

NEVER_S = -1e18
_HALF_A_DAY = 12


class Source:
    """What the series of one device share.

    ``jump_c`` is how far its temperature moved from one reading to the next at ``jumped_at``;
    ``dying`` says why its battery seems to be dying, empty where it does not.
    """

    __slots__ = ("dying", "jump_c", "jumped_at")

    def __init__(self) -> None:
        self.jumped_at = NEVER_S
        self.jump_c = 0.0
        self.dying = ""


class Memory:
    """Of one series. ``value`` is its newest that was believed, ``at`` when it was measured.

    ``before`` and ``before_at`` are the one before that, ``last`` the newest as it was judged,
    None where a spike can't be told of it any more. ``raw`` is the value as it was sent,
    ``same_since`` and ``same`` since when and how often it is just that; ``finest`` the least
    step seen, ``quiet_s`` and ``quiet_before_s`` the longest times without a change in this
    half-day and the one before, ``highest`` and ``highest_before`` the greatest values.
    """

    __slots__ = (
        "allowed_s",
        "apart_since",
        "at",
        "before",
        "before_at",
        "fahrenheit",
        "finest",
        "group",
        "half_day",
        "highest",
        "highest_before",
        "hour",
        "hour_count",
        "hour_high",
        "hour_low",
        "hour_sum",
        "in_box",
        "last",
        "odd_since",
        "past",
        "quantity",
        "quiet_before_s",
        "quiet_s",
        "raw",
        "same",
        "same_since",
        "source",
        "terms",
        "touched",
        "value",
        "wet_since",
    )

    def __init__(
        self,
        quantity: Quantity,
        terms: Terms,
        source: Source,
        *,
        allowed_s: float,
        group: str | None,
        in_box: bool,
    ) -> None:
        self.quantity = quantity
        self.terms = terms
        self.source = source
        self.allowed_s = allowed_s
        self.group = group
        self.in_box = in_box
        self.touched = 0
        self.past: Past = NOTHING
        self.finest = inf
        self.quiet_s = self.quiet_before_s = 0.0
        self.half_day = 0
        self.highest = self.highest_before = -inf
        self.at = self.before_at = NEVER_S
        self.value = self.before = self.raw = 0.0
        self.last: Judged | None = None
        self.same = 0
        self.same_since = NEVER_S
        self.fahrenheit = False
        self.wet_since: float | None = None
        self.odd_since: float | None = None
        self.apart_since: float | None = None
        self.hour = 0
        self.hour_count = 0
        self.hour_sum = self.hour_low = self.hour_high = 0.0

    @property
    def heard(self) -> bool:
        """Whether there was any reading that was believed."""
        return self.at > NEVER_S

    @property
    def quietest_s(self) -> float:
        """The longest time without a change that it has come out of, in the last day [s]."""
        return max(self.quiet_s, self.quiet_before_s)

    def kept(self) -> tuple[object, ...]:
        """All of it, for ``put_back``."""
        return _all_of(self)

    def put_back(self, kept: tuple[object, ...]) -> None:
        """As it was."""
        for name, value in zip(self.__slots__, kept, strict=True):
            setattr(self, name, value)

    def follow(self, at: float, value: float, raw: float, judged: Judged | None) -> None:
        """One more reading that is believed; ``at`` must be later than all before.

        ``judged`` is None for what was stored before a start.
        """
        if self.same and raw == self.raw:
            self.same += 1
        else:
            self._changed(at, raw)
        self.before, self.before_at = self.value, self.at
        self.value, self.at, self.last = value, at, judged
        hour = int(at // HOUR_S)
        if hour != self.hour:
            self._close_hour(hour, value, raw)
        self.hour_count += 1
        self.hour_sum += value
        if value < self.hour_low:
            self.hour_low = value
        elif value > self.hour_high:
            self.hour_high = value

    def begin_anew(self) -> None:
        """Nothing was heard for a while: what lasted till then need not last."""
        self.same = 0
        self.wet_since = self.apart_since = self.last = None

    def forget_spike(self) -> None:
        """The newest was a lone spike: what comes is compared with the one before it."""
        self.value, self.last = self.before, None

    def _changed(self, at: float, raw: float) -> None:
        if self.same:
            self.finest = min(self.finest, abs(raw - self.raw))
            quiet_s = self.at - self.same_since
            if quiet_s > self.quiet_s:
                self.quiet_s = min(quiet_s, LONGEST_QUIET_S)
        self.highest = max(self.highest, raw)
        self.raw, self.same, self.same_since = raw, 1, at

    def _close_hour(self, hour: int, value: float, raw: float) -> None:
        if self.hour_count:
            mean = self.hour_sum / self.hour_count
            self.past = after_hour(self.past, Hour(self.hour, self.hour_low, self.hour_high, mean))
        half_day = hour // _HALF_A_DAY
        if half_day != self.half_day:
            next_to = half_day == self.half_day + 1
            self.quiet_before_s = self.quiet_s if next_to else 0.0
            self.highest_before = self.highest if next_to else -inf
            self.quiet_s, self.highest, self.half_day = 0.0, raw, half_day
        self.hour, self.hour_count, self.hour_sum = hour, 0, 0.0
        self.hour_low = self.hour_high = value


_all_of = attrgetter(*Memory.__slots__)
