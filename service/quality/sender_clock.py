"""Whether a sender's clock is right, told by the newest time in each of its messages. Pure.

A clock that is ahead shows at once: nothing is measured after it came. One that is behind
looks like readings that were kept while the sender was away; but those catch up, and a clock
stays behind by the same time. One message proves nothing either way.
"""

from datetime import timedelta
from typing import NamedTuple

from service.quality.judge import MAX_AHEAD, MAX_BEHIND

OFF_BY = MAX_AHEAD
"""By more than this it is wrong, either way."""

BEHIND_FOR = timedelta(minutes=10)
"""So long must it stay behind by the same time."""

_STEADY = timedelta(minutes=1)
_TO_SPARE = timedelta(minutes=2)
_ENOUGH = 2
_ENOUGH_BEHIND = 3
_ZERO = timedelta(0)


class ClockTrack(NamedTuple):
    """As made, nothing was heard.

    ``wrong`` is the verdict; ``off`` by how much the last messages, ``heard`` of them in a
    row, were ahead (behind where negative), within a minute; ``off_for`` for how long by now.
    """

    wrong: bool = False
    off: timedelta = _ZERO
    heard: int = 0
    off_for: timedelta = _ZERO

    @property
    def settled(self) -> bool:
        """It is right, and one message more that says so changes nothing."""
        return not self.wrong and self.heard >= _ENOUGH and abs(self.off) <= OFF_BY


def hear(track: ClockTrack, ahead: timedelta, passed: timedelta) -> ClockTrack:
    """The track after one message.

    Args:
        track: before it.
        ahead: its newest time less its arrival.
        passed: how long after the message before it came.
    """
    # One that was wrong is right again with some to spare, or it would come and go.
    right_by = OFF_BY - _TO_SPARE if track.wrong else OFF_BY
    right = abs(ahead) <= right_by
    going_on = track.heard > 0 and (
        abs(track.off) <= right_by if right else abs(ahead - track.off) <= _STEADY
    )
    heard = track.heard + 1 if going_on else 1
    off_for = track.off_for + passed if going_on else _ZERO
    # What it was when this began: one that catches up slowly must not pass for steady.
    off = track.off if going_on else ahead
    if abs(off) <= right_by:
        wrong = track.wrong and heard < _ENOUGH
    else:
        wrong = track.wrong or _is_wrong(off, heard, off_for)
    return ClockTrack(wrong, off, heard, off_for)


def _is_wrong(off: timedelta, heard: int, off_for: timedelta) -> bool:
    if off > OFF_BY or -off > MAX_BEHIND:
        return heard >= _ENOUGH
    return heard >= _ENOUGH_BEHIND and off_for >= BEHIND_FOR
