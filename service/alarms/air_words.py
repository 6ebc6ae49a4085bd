"""What the alarms of damp, of a fast fall and of the heater say: what is, since when, what to do.

Each begins with the place and the hour, as somebody reads it who was just woken by it.
"""

from datetime import datetime, tzinfo

from service.alarms.wording import clock_time


def condensation_text(
    *, place_name: str, measured: bool, margin_k: float, since: datetime, zone: tzinfo
) -> str:
    """``measured``: a sensor on the surface told so; else it is reckoned from the air.

    For example "Shed: water gathers on the coldest surface since 04:10; it is 0.9° colder than
    the air's dew point, by the sensor on it. Open a vent, wipe it dry, and see whether bedding
    is wet."
    """
    by = "by the sensor on it" if measured else "by what set-up says of it"
    colder = f"{abs(margin_k):.1f}° colder than the air's dew point, {by}"
    return (
        f"{place_name}: water gathers on the coldest surface since {clock_time(since, zone)}; it "
        f"is {colder}. Open a vent, wipe it dry, and see whether bedding is wet."
    )


def fall_text(
    *, place_name: str, fall_k_per_h: float, now_c: float, since: datetime, zone: tzinfo
) -> str:
    """For example "Shed cools by 6° an hour and more since 21:40, 11.2° when this was seen. Look
    whether door, vents and panes are shut, and whether the heater runs."
    """
    return (
        f"{place_name} cools by {fall_k_per_h:.0f}° an hour and more since "
        f"{clock_time(since, zone)}, {now_c:.1f}° when this was seen. Look whether door, vents "
        "and panes are shut, and whether the heater runs."
    )


def heater_text(
    *, place_name: str, value_c: float, thermostat_c: float, since: datetime, zone: tzinfo
) -> str:
    """For example "Shed 2.8°, well under the 5° of its heater since 02:15. See whether the heater
    has power and is warm, and close vents."
    """
    return (
        f"{place_name} {value_c:.1f}°, well under the {thermostat_c:g}° of its heater since "
        f"{clock_time(since, zone)}. See whether the heater has power and is warm, and close vents."
    )
