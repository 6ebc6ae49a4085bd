"""The air of the shed now, with its age, and how far it is to trouble. Pure."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.views.channel_view import ChannelView, spare_in_words
from dashboards.views.local_words import age, clock_time, degrees, moment


def now_words(
    channel: ChannelView | None,
    damp_pct: float | None,
    heard_at: datetime | None,
    now: datetime,
    zone: ZoneInfo,
) -> str:
    """One sentence.

    ``damp_pct`` is of the same moment, None where nobody measured it; ``heard_at`` is when the
    thermometer was heard last, None for never.
    """
    if channel is None:
        return "No thermometer tells of the shed, so its air is not known."
    latest = channel.latest
    if latest is None:
        last = f"last heard {moment(heard_at, now, zone)}" if heard_at else "never heard"
        return f"The air of now is not known: {last}."
    damp = "damp not measured" if damp_pct is None else f"{damp_pct:.0f} % damp"
    told = f"Now {degrees(latest.temperature_c, 1)}, {damp}"
    spare = latest.spare_c
    if spare is None:
        room = "no limit is set"
    elif spare < 0:
        room = f"too {latest.side}"
    else:
        room = f"{spare_in_words(spare)} to {latest.side}"
    seconds = max(timedelta(0), now - latest.at).total_seconds()
    return f"{told}, {room}; heard {age(seconds)} ago, at {clock_time(latest.at, zone)}."
