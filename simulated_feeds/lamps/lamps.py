"""What the lamps do minute by minute: programme, timer, and what goes wrong with them. Pure."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta, tzinfo

import numpy as np

from simulated_feeds.day import DAY, MINUTE, MINUTES, Minutes
from simulated_feeds.happening import Happening, What
from simulated_feeds.lamps.parameters import LampParameters

# Daylight outdoors [lx] for each W/m² of sun: the mean of the hourly values in the typical
# year of Sand Point (TMY3 703165), which gives both.
DAYLIGHT_LX_PER_W_M2 = 107.0
_CLOCK_AHEAD_H = 1.0


class Lamps:
    """Lamps in a zone; of the happenings only those of lamps matter here.

    Whether there is mains power is the building's business.
    """

    def __init__(
        self, parameters: LampParameters, zone: tzinfo, happenings: Iterable[Happening] = ()
    ) -> None:
        self.parameters = parameters
        self._zone = zone
        self._happenings = tuple(happenings)

    def day(self, at: datetime) -> Minutes:
        """How bright the lamps are from ``at`` [UTC] on, from 0 (dark) to 1 (full)."""
        ahead = np.zeros(MINUTES)
        for timer in self._of(What.TIMER_OFF, at):
            hours = _CLOCK_AHEAD_H if timer.amount is None else timer.amount
            ahead[within(timer, at)] = 60.0 * hours
        share = self._by_programme(at, ahead)
        for lit in self._of(What.LAMPS_ON, at):
            share[within(lit, at)] = 1.0
        for failed in self._of(What.LAMPS_FAIL, at):
            share[within(failed, at)] = 0.0
        return share

    def light_lx(self, share: Minutes, sun_w_m2: Minutes) -> Minutes:
        """Light beside the shed's sensor [lx], of lamps and window together."""
        p = self.parameters
        return share * p.full_lx + sun_w_m2 * DAYLIGHT_LX_PER_W_M2 * p.daylight_share

    def _of(self, what: What, at: datetime) -> Iterable[Happening]:
        return (
            each
            for each in self._happenings
            if each.what is what and each.since < at + DAY and at < each.until
        )

    def _by_programme(self, at: datetime, ahead_min: Minutes) -> Minutes:
        share = np.zeros(MINUTES)
        clock = self._clock_min(at) + ahead_min
        for day in np.unique(np.floor(clock / (24 * 60))):
            date = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(days=float(day))
            on, off = self.parameters.window(date.date())
            share = np.maximum(share, self._lit(clock - day * 24 * 60, on, off))
        return share

    def _lit(self, minute: Minutes, on: float, off: float) -> Minutes:
        """The share at minutes after midnight of one date, 0 at those of another."""
        step = self.parameters.dim_step / MINUTE
        steps = max(1.0, self.parameters.dim / MINUTE // step)
        up = np.floor((minute - on) / step) + 1.0
        down = np.ceil((off - minute) / step)
        lit = np.clip(np.minimum(up, down) / steps, 0.0, 1.0)
        return np.where((on <= minute) & (minute < off), lit, 0.0)

    def _clock_min(self, at: datetime) -> Minutes:
        """What the local clock shows, in minutes since 1970-01-01 00:00 local."""
        minutes = (at - datetime(1970, 1, 1, tzinfo=UTC)) / MINUTE + np.arange(MINUTES)
        offsets = [_offset_min(at, self._zone), _offset_min(at + DAY, self._zone)]
        if offsets[0] == offsets[1]:
            return np.asarray(minutes + offsets[0])
        # The clocks go forward or back on this day.
        return np.asarray(
            minutes + [_offset_min(at + k * MINUTE, self._zone) for k in range(MINUTES)]
        )


def within(happening: Happening, at: datetime) -> slice:
    """Which of the 1,440 minutes from ``at`` on a happening holds in."""
    first, end = (
        min(MINUTES, max(0, -((at - edge) // MINUTE)))
        for edge in (happening.since, happening.until)
    )
    return slice(first, end)


def _offset_min(at: datetime, zone: tzinfo) -> float:
    offset = at.astimezone(zone).utcoffset()
    return 0.0 if offset is None else offset / MINUTE
