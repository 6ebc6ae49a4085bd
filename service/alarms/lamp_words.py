"""What the alarms of lamps and of the power say: what is, since when, what to do."""

from datetime import datetime, timedelta, tzinfo

from service.alarms.wording import clock_time


def not_on_text(*, place_name: str, on_at: datetime, zone: tzinfo) -> str:
    """Lamps that did not come on at ``on_at``.

    For example "Shed is dark: the lamps did not come on at 06:30. Look at lamps, fuse and timer."
    """
    return (
        f"{place_name} is dark: the lamps did not come on at {clock_time(on_at, zone)}. "
        "Look at the lamps, their fuse and their timer."
    )


def went_out_text(*, place_name: str, off_at: datetime, since: datetime, zone: tzinfo) -> str:
    """Lamps that went out before ``off_at``.

    For example "Shed is dark since 17:50: the lamps are meant to burn until 20:30. Bring a small
    lamp, so that hens find back to their boxes; then look at lamps, fuse and timer."
    """
    return (
        f"{place_name} is dark since {clock_time(since, zone)}: the lamps are meant to burn until "
        f"{clock_time(off_at, zone)}. Bring a small lamp, so that hens find back to their boxes; "
        "then look at lamps, fuse and timer."
    )


def light_text(*, place_name: str, lux: float, since: datetime, zone: tzinfo) -> str:
    """For example "Shed is light, 450 lx, since 23:30, when it is meant to be dark. Look at the
    timer. Dim the lamps, or leave a small one on for a while: ..."
    """
    return (
        f"{place_name} is light, {lux:.0f} lx, since {clock_time(since, zone)}, when it is meant "
        "to be dark. Look at the timer. Dim the lamps, or leave a small one on for a while: hens "
        "don't find their box in sudden dark."
    )


def shortened_text(*, place_name: str, light: timedelta, usual: timedelta, day_name: str) -> str:
    """For example "Shed had 11.5 hours of light on Tue 3 Mar, after 14.0 on the days before. Look
    at the timer; shorten a day in steps only."
    """
    hours, before = light / timedelta(hours=1), usual / timedelta(hours=1)
    return (
        f"{place_name} had {hours:.1f} hours of light on {day_name}, after {before:.1f} on the "
        "days before. Look at the timer; a day is best made shorter in steps."
    )


def mains_text(*, place_name: str, since: datetime, zone: tzinfo) -> str:
    """By a sensor of the mains."""
    return (
        f"{place_name} has no mains power since {clock_time(since, zone)}, by its mains sensor. "
        "Does the house have power? Then look at the shed's fuse. Keep doors and vents shut."
    )


def lamps_and_cold_text(
    *, place_name: str, colder_k: float, dark_at: datetime, zone: tzinfo
) -> str:
    """By lamps and warmth together: what it rests on is said.

    For example "Shed: power cut? The lamps went dark at 17:30 in one go, and it is 0.4° colder
    than in the three hours before. Does the house have power? ..."
    """
    return (
        f"{place_name}: power cut? The lamps went dark at {clock_time(dark_at, zone)} in one go, "
        f"and it is {colder_k:.1f}° colder than in the three hours before. Does the house have "
        "power? Then look at the shed's fuse. Keep doors and vents shut."
    )
