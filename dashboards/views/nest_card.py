"""The card that hangs on a cage: what it says besides the page. Pure."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from dashboards.views.channel_view import ChannelView
from dashboards.views.local_words import clock_time, count, day_word, degrees, local_day
from dashboards.views.nest_view import DueRow, NestView
from service.nests.nest import Bird, Nest

MOST_DUES = 8
"""More would not fit on the card; the rest is on the page."""

ROWS_WITH_ROOM = 6
"""With more eggs than that there is less room for what is to come, and to write on."""

LINES_TO_WRITE_ON = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class NestCard:
    """``as_of`` is the day and time of the print: a card grows old.

    ``more`` counts what is due and not on the card.
    """

    cock: str
    hen: str
    since: str
    as_of: str
    dues: tuple[DueRow, ...]
    more: int
    air: str
    lines: tuple[int, ...]


def nest_card(
    nest: Nest, view: NestView, channel: ChannelView | None, now: datetime, zone: ZoneInfo
) -> NestCard:
    """What is due next, who sits there, and the air in a sentence."""
    day = local_day(now, zone)
    pair = nest.pair
    crowded = max(0, len(view.rows) - ROWS_WITH_ROOM)
    most = max(4, MOST_DUES - crowded)
    return NestCard(
        cock=_bird(pair.cock) if pair else "",
        hen=_bird(pair.hen) if pair else "",
        since=f"{day_word(pair.put_up_on)} {pair.put_up_on.year}" if pair else "",
        as_of=f"{day_word(day)} {day.year}, {clock_time(now, zone)}",
        dues=view.dues[:most],
        more=max(0, len(view.dues) - most),
        air=air_in_words(channel, now, zone),
        lines=tuple(range(max(1, LINES_TO_WRITE_ON - crowded))),
    )


def air_in_words(channel: ChannelView | None, now: datetime, zone: ZoneInfo) -> str:
    """Lowest and highest hour, hours in a bank, and how many hours were measured at all."""
    moments = [one for strand in channel.strands for one in strand] if channel else []
    if channel is None or not moments:
        return "No air was measured."
    low = min(one.temperature_c for one in moments)
    high = max(one.temperature_c for one in moments)
    wet = sum(one.spare_c is not None and one.spare_c < 0 for one in moments)
    hours = max(1, round((now - channel.since).total_seconds() / 3600))
    since = day_word(local_day(channel.since, zone))
    bank = "none of them" if wet == 0 else count(wet, "hour")
    return (
        f"{channel.place_name} since {since}: hours of {degrees(low)} to {degrees(high)}, "
        f"{bank} outside the limits; {min(len(moments), hours)} of {hours} hours measured."
    )


def _bird(bird: Bird) -> str:
    parts = [part for part in (bird.name, bird.ring, bird.variety) if part]
    return ", ".join(parts) or f"bird {bird.id}"
