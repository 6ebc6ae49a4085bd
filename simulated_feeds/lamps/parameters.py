"""The lamps and the window as the birds see them. Pure."""

from dataclasses import dataclass
from datetime import date, time, timedelta

from simulated_feeds.impossible import ImpossibleParameterError, allowed, refuse_impossible

_LONGEST_DIM = timedelta(hours=3)


@dataclass(frozen=True, slots=True, kw_only=True)
class LampParameters:
    """The programme in local time, its lengthening, and how bright lamps and window are.

    Lamps brighten from ``on``, are full after ``dim``, begin to dim ``dim`` before ``off`` and
    are dark at ``off``. With ``lengthen_from`` the day begins ``shortest_h`` long and grows by
    ``lengthen_a_week_min`` each week, until it is as long as from ``on`` to ``off``; so much as
    ``morning_share`` of what is missing is missing in the morning.

    Lengthening a quarter of an hour to half an hour a week is common practice, no source.
    Power, brightness and the window are guesses of a shed of 10 m² (no source).
    """

    on: time = time(6, 30)
    off: time = time(20, 30)
    dim: timedelta = timedelta(minutes=30)
    # The dimmer moves in steps. The lowest is bright enough to count as day, so that the
    # measured night has the very bounds of the programme where no daylight comes in.
    dim_step: timedelta = timedelta(minutes=2)
    lengthen_from: date | None = None
    shortest_h: float = allowed(1.0, 24.0, "h", default=9.0)
    lengthen_a_week_min: float = allowed(0.0, 240.0, "min", default=30.0)
    morning_share: float = allowed(0.0, 1.0, default=0.5)
    full_lx: float = allowed(0.0, 20_000.0, "lx", default=450.0)
    full_w: float = allowed(0.0, 2_000.0, "W", default=90.0)
    # The share of the light outdoors that reaches the sensor: a small window, away from it.
    daylight_share: float = allowed(0.0, 0.2, default=0.002)

    def __post_init__(self) -> None:
        refuse_impossible(self)
        for name, at in (("on", self.on), ("off", self.off)):
            if at.tzinfo is not None or at.second or at.microsecond:
                raise ImpossibleParameterError(name, at, "a whole minute of local time, like 06:30")
        if self.on >= self.off:
            raise ImpossibleParameterError("off", self.off, f"later than on ({self.on})")
        if not timedelta(0) <= self.dim <= _LONGEST_DIM:
            raise ImpossibleParameterError("dim", self.dim, "0 min to 3 h")
        if not timedelta(minutes=1) <= self.dim_step <= timedelta(hours=1):
            raise ImpossibleParameterError("dim_step", self.dim_step, "1 min to 1 h")

    def window(self, day: date) -> tuple[float, float]:
        """When the lamps come on and are off again on a local date [minutes after midnight]."""
        on, off = (at.hour * 60.0 + at.minute for at in (self.on, self.off))
        missing = off - on - self._length_min(day, off - on)
        return (
            float(round(on + self.morning_share * missing)),
            float(round(off - (1.0 - self.morning_share) * missing)),
        )

    def clock(self, day: date) -> tuple[time, time]:
        """The same as times on the local clock, for a programme written down."""
        on, off = self.window(day)
        return _time(on), _time(off)

    def _length_min(self, day: date, full_min: float) -> float:
        if self.lengthen_from is None:
            return full_min
        weeks = max(0, (day - self.lengthen_from).days // 7)
        return min(full_min, 60.0 * self.shortest_h + weeks * self.lengthen_a_week_min)


def _time(minutes: float) -> time:
    hour, minute = divmod(round(minutes), 60)
    return time(hour, minute)
